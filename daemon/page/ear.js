// Whether what is shown is of now. A machine that slept stops one clock and not the other, and hands on at once what
// waited for it: a frame that came much later after its sending than others did is old.

const SET_MS = 5000; // frames that are all late for so long: a clock was set, and they count again

/// `steady` stands still while the machine sleeps, `wall` is the clock that frames are stamped with.
export function makeEar(steady, wall, lostMs) {
  let heard = -Infinity;
  let heardByWall = 0;
  let least = Infinity; // on the way, of all frames
  let lateSince = null;

  const isOld = (under) => {
    if (!isFinite(under) || under - least <= lostMs) return false;
    lateSince ??= steady();
    if (steady() - lateSince < SET_MS) return true;
    least = under;
    return false;
  };

  return {
    /// False: the frame is old.
    hear(sent) {
      const under = typeof sent === "number" ? wall() - sent : Infinity;
      if (isOld(under)) return false;
      least = Math.min(least, under);
      lateSince = null;
      heard = steady();
      heardByWall = wall();
      return true;
    },
    heardAt: () => heard,
    lost: () => steady() - heard > lostMs || Math.abs(wall() - heardByWall) > lostMs,
  };
}
