/** What counts from the mix, and dew: what a card says while a joint is being made. */
export const mixing = {
  fromMix: {
    title: 'Since the mix',
    left: 'to work it',
    workBy: (at: string, span: string) => `Work it by ${at}, ${span} from the mix.`,
    about: (minutes: string) => `about ${minutes} min`,
    atLeast: (minutes: string) => `at least ${minutes} min`,
    atMost: (minutes: string) => `at most ${minutes} min`,
    sooner: 'It can go off sooner.',
    over: 'Working time is over: do not use what is left in the pot.',
    overSince: (at: string) => `It was to be worked by ${at}.`,
    tack: 'Surely tacky',
    gel: 'Surely gelled',
    other: (stage: string) => `Surely ${stage.toLowerCase()}`,
    by: (at: string) => `by ${at}`,
    in: (span: string) => `in ${span}, if it stays as now`,
    since: (at: string) => `since ${at}`,
    noTime: 'no time can be named: nothing is credited now',
    lost: 'not known: no connection',
    caution:
      'These two err late on purpose: they count from the probe on the joint. The pot is warmer and goes off sooner. Go by how it feels.',
  },

  dew: {
    title: 'Dew',
    enough: (margin: string, dewPoint: string) => `Surface ${margin} above the dew point of ${dewPoint}: enough.`,
    tooLittle: (margin: string, dewPoint: string, least: string) =>
      `Surface only ${margin} above the dew point of ${dewPoint}. It needs ${least}: water will come out on it. Warm it or wait.`,
    below: (dewPoint: string) => `Surface below the dew point of ${dewPoint}: it is wet. Warm and dry it, then wipe it again.`,
    now: 'Now:',
    noNumber: 'No dew point can be named for that air.',
    unknown: 'The margin over the dew point is not known now: no connection.',
  },
};
