import { builtInPolyesterMix, celsiusOf } from './mix.ts';
import type { Schedule } from './schedule.ts';

const TWELVE_AND_TWENTY_FOUR = [
  { stage: 'stress', requiredHours: 12 },
  { stage: 'hydro', requiredHours: 24 },
];

const SHEET_WINS = 'The maker’s sheet for the lot wins.';

/** Resin and adhesive when used. Common practice, no source. */
const USE_SIXTY_TO_SEVENTY = { minCelsius: celsiusOf(60), maxCelsius: celsiusOf(70) };

/**
 * Working time about 30 min near 80 °F, two wraps tacky after about 5 min there, "more in the cool": common practice, no source.
 * Counted by the resin's own law below 80 °F, though the colder mix gets more catalyst: so both come late rather than early.
 */
const LAMINATE_FROM_MIX = {
  referenceCelsius: 26.7,
  stages: [
    { stage: 'tack', requiredHours: 5 / 60 },
    { stage: 'gel', requiredHours: 0.5 },
  ],
};

/** The schedules that come with the program. A site's own copy and the maker's sheet for the lot win over them. */
export const builtInSchedules: readonly Schedule[] = [
  {
    name: 'polyester-laminate',
    version: 1,
    title: 'Polyester laminate',
    author: 'Warmhours',
    law: { kind: 'arrhenius', activationKilojoulesPerMol: 60 },
    referenceCelsius: 10,
    floorCelsius: 5,
    gapLimitMinutes: 15,
    ambientStandIn: false,
    stages: TWELVE_AND_TWENTY_FOUR,
    fromMix: LAMINATE_FROM_MIX,
    use: USE_SIXTY_TO_SEVENTY,
    proofBelow: { celsius: 7, hours: 6 },
    mix: builtInPolyesterMix,
    source: `Hours and the 50 °F knee: common practice, no source. Activation energy: upper end of 40–60 kJ/mol, J. Appl. Polym. Sci. 102:1870–1876 (2006). Floor: common practice, from memory. Six hours below 7 °C ask for a hardness reading: our own choice. ${SHEET_WINS}`,
  },
  {
    name: 'epoxy-pour',
    version: 1,
    title: 'Epoxy pour',
    author: 'Warmhours',
    law: { kind: 'arrhenius', activationKilojoulesPerMol: 61 },
    referenceCelsius: 15.6,
    floorCelsius: 5,
    gapLimitMinutes: 15,
    ambientStandIn: false,
    stages: TWELVE_AND_TWENTY_FOUR,
    // Epoxy works best there. Common practice, no source.
    use: { minCelsius: celsiusOf(60), maxCelsius: celsiusOf(80) },
    proofBelow: { celsius: 10, hours: 6 },
    source: `Hours: common practice, no source. Activation energy: 58.5 ± 1.3 kJ/mol plus two uncertainties, J. Appl. Polym. Sci. 92:1190–1198 (2004). Floor, and the proof asked for below 10 °C: after Int. J. Adhes. Adhes. 35:9–16 (2012); its six hours are our own choice. ${SHEET_WINS}`,
  },
  {
    name: 'sealant-bead',
    version: 1,
    title: 'Sealant bead',
    author: 'Warmhours',
    law: { kind: 'moisture', referenceHumidityPercent: 50, frontMillimetres: 3, frontHours: 24, beadMillimetres: 3 },
    referenceCelsius: 20,
    floorCelsius: 5,
    gapLimitMinutes: 15,
    ambientStandIn: false,
    stages: TWELVE_AND_TWENTY_FOUR,
    throughBead: 'hydro',
    use: USE_SIXTY_TO_SEVENTY,
    source: `Hours: common practice, no source. Square-root front: Comyn, doi 10.1016/S0143-7496(97)00031-6 (law from memory). 3 mm in 24 h at 20 °C and 50 % RH: generic data sheet of a polyurethane sealant. Floor: common practice, from memory. ${SHEET_WINS}`,
  },
  {
    name: 'laminate-strict',
    version: 1,
    title: 'Laminate, strict workshop rule',
    author: 'Warmhours',
    law: { kind: 'arrhenius', activationKilojoulesPerMol: 60 },
    referenceCelsius: 18,
    floorCelsius: 15,
    gapLimitMinutes: 15,
    ambientStandIn: false,
    stages: [
      { stage: 'stress', requiredHours: 48 },
      { stage: 'hydro', requiredHours: 48 },
    ],
    fromMix: LAMINATE_FROM_MIX,
    use: USE_SIXTY_TO_SEVENTY,
    mix: builtInPolyesterMix,
    source: `At least 48 h at 18 °C or warmer after lamination: published workmanship rules for fibre-reinforced hulls. Floor: common practice, from memory. ${SHEET_WINS}`,
  },
];
