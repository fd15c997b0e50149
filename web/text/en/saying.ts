/** What forms say of what was put on record, and of what was not. */
export const saying = {
  problem: {
    at: (path: string, message: string) => (path === '' ? message : `${path}: ${message}`),
    /** What a fault's path is called where its field is not on the page; an empty name: the sentence says it itself. */
    path: {
      joint: '',
      sump: '',
      activity: '',
      finding: '',
      decision: '',
      kind: '',
      reason: '',
      hold: '',
      probe: '',
      probes: '',
      seq: '',
      at: 'The time',
      filledAt: 'The end of filling',
      startedAt: 'The start of the hold',
      endedAt: 'The end of the hold',
      resinCelsius: 'Resin temperature',
      airCelsius: 'Air temperature',
      surfaceCelsius: 'Surface temperature',
      catalystMillilitres: 'Catalyst',
    } as Record<string, string>,
    /** One of several of a kind, by the path of them all. */
    item: { hours: 'hour', points: 'row', doses: 'row', stages: 'stage' } as Record<string, string>,
    nth: (what: string, place: number) =>
      place <= 3 ? `The ${['first', 'second', 'third'][place - 1]} ${what}` : `The ${what} number ${place}`,
    /** What happened, by code; where there is no entry, the service's own words. */
    title: {
      'entry-refused': 'Not put on record',
      'bad-entry': 'Not put on record',
      'wrong-role': 'Not put on record: your role may not do that',
    } as Record<string, string>,
    question: 'Is this right?',
    isRight: 'Yes, it is right',
    change: 'Change it',
    veryWarm: (temperature: string) => `${temperature} is very warm for resin, a surface or the air.`,
  },

  recorded: {
    laidUp: (joint: string, at: string) => `${joint} laid up at ${at}`,
    ply: (joint: string, at: string) => `${joint}, further ply laid at ${at}`,
    relaid: (joint: string, at: string) => `${joint} laid again from zero at ${at}`,
    assigned: (joint: string) => `probes assigned to ${joint}`,
    note: (joint: string) => `a note on ${joint}`,
    prep: (joint: string) => `surface of ${joint} signed for`,
    mix: (joint: string) => `a mix for ${joint}`,
    proof: (joint: string) => `a proof of ${joint}`,
    rain: (where: string) => `rain on ${where}`,
    rainEnded: (where: string) => `the end of the rain on ${where}`,
    decided: (finding: string, where: string) => `a decision on “${finding}” (${where})`,
    started: (activity: string, sump: string) => `start of “${activity}” on ${sump}`,
    activityDone: (activity: string, sump: string) => `“${activity}” done on ${sump}`,
    hold: (hold: string, sump: string) => `hold point “${hold}” signed on ${sump}`,
    waterTest: (sump: string) => `a water test of ${sump}`,
  },
};
