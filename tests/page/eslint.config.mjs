// The rules that hold for the page's script, for ESLint 9.

const browser = [
  "AbortSignal", "EventSource", "IntersectionObserver", "addEventListener", "clearTimeout", "document", "fetch",
  "history", "innerHeight", "innerWidth", "localStorage", "location", "performance", "scrollTo", "setInterval",
  "setTimeout", "window",
];

export default [
  {
    files: ["**/*.js"],
    languageOptions: {
      ecmaVersion: 2022,
      sourceType: "module",
      globals: Object.fromEntries(browser.map((name) => [name, "readonly"])),
    },
    rules: {
      "array-callback-return": "error",
      complexity: ["error", 14],
      curly: ["error", "multi-line"],
      eqeqeq: ["error", "always", { null: "ignore" }],
      "max-depth": ["error", 3],
      "max-len": ["error", 120],
      "max-lines-per-function": ["error", 45],
      "max-params": ["error", 5],
      "no-dupe-else-if": "error",
      "no-dupe-keys": "error",
      "no-empty": "error",
      "no-fallthrough": "error",
      "no-implicit-coercion": "error",
      "no-redeclare": "error",
      "no-self-compare": "error",
      "no-shadow": "error",
      "no-undef": "error",
      "no-unreachable": "error",
      "no-unused-expressions": "error",
      "no-unused-vars": "error",
      "no-use-before-define": ["error", { functions: false }],
      "no-var": "error",
      "prefer-const": "error",
    },
  },
];
