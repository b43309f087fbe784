// Ways on foot between two places, by the radii of curvature of the ellipsoid GRS 80 halfway between them: to a few
// millimetres in a kilometre, up to ten.

const SEMI_MAJOR_AXIS = 6378137; // metres (Moritz 1980)
const ECCENTRICITY_2 = 0.00669438002290; // of 1/f = 298.257222101
const RAD = Math.PI / 180;

/// The shorter way about the Earth.
const turn = (deg) => ((((deg + 180) % 360) + 360) % 360) - 180;

/// How far east and north of another place, in metres.
export function eastNorth(place, origin) {
  const latitude = ((place.latitude_deg + origin.latitude_deg) / 2) * RAD;
  const flatness = 1 - ECCENTRICITY_2 * Math.sin(latitude) ** 2;
  const across = SEMI_MAJOR_AXIS / Math.sqrt(flatness);
  const along = (across * (1 - ECCENTRICITY_2)) / flatness;
  return [
    turn(place.longitude_deg - origin.longitude_deg) * RAD * across * Math.cos(latitude),
    (place.latitude_deg - origin.latitude_deg) * RAD * along,
  ];
}
