// What this browser keeps between two visits. In a private window it lasts as long as the page.

export const kept = {
  get(name) {
    try {
      return localStorage.getItem(name);
    } catch {
      return null;
    }
  },
  set(name, value) {
    try {
      localStorage.setItem(name, value);
    } catch {
      // A private window.
    }
  },
  forget(name) {
    try {
      localStorage.removeItem(name);
    } catch {
      // Nothing was kept.
    }
  },
};
