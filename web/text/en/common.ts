export const common = {
  locale: 'en-US',
  appName: 'Warmhours',
  listAnd: (names: readonly string[]) => new Intl.ListFormat('en-US', { type: 'conjunction' }).format(names),

  nav: {
    label: 'Pages',
    now: 'Now',
    findings: 'Findings',
    waiting: (count: number) => (count === 1 ? '1 waits for a decision' : `${count} wait for a decision`),
    setup: 'Setup',
    schedules: 'Schedules',
    settings: 'Settings',
    skip: 'Skip to the page',
  },

  top: {
    unnamed: (site: string) => `Site ${site}`,
    live: 'Live',
    liveTitle: 'The page is connected and up to date. Time on the site’s clock.',
    connecting: 'Connecting …',
    lost: 'No connection',
  },

  banner: {
    notRecording: 'NOT RECORDING',
    notRecordingDetail: 'Readings are not being written down, so no hours are earned. Call whoever looks after this system now.',
    lost: (since: string) => `No connection since ${since}`,
    lostDetail: (age: string) => `What you see is ${age} old. Do not act on it as if it were of now.`,
  },

  span: {
    seconds: (seconds: string) => `${seconds} s`,
    wholeMinutes: (minutes: string) => `${minutes} min`,
    minutes: (minutes: string, seconds: string) => `${minutes} min ${seconds} s`,
    hours: (hours: string, minutes: string) => `${hours} h ${minutes} min`,
    days: (days: string, hours: string) => `${days} d ${hours} h`,
  },
  ago: (span: string) => `${span} ago`,

  phase: {
    planned: 'Planned',
    open: 'Being laid up',
    curing: 'Curing',
    stressReady: 'Ready for stress',
    hydroReady: 'Ready for water test',
    void: 'To be redone',
  },

  stage: { stress: 'Stress', hydro: 'Water test', gel: 'Gel', tack: 'Tacky' } as Record<string, string>,
  stageHours: (stage: string, hours: string) => `${stage} ${hours} h`,

  jointInSump: (joint: string, sump: string) => `${joint} (${sump})`,
  jointOfSump: (joint: string, sump: string) => `${joint}, ${sump}`,
  probeName: (label: string, probe: string) => `${label} (${probe})`,
  role: { material: 'On the material', ambient: 'In the air', level: 'Water level' },

  caution:
    'This is advice from counted hours. A person checks the joint and releases the work. The maker’s sheet for the lot and local codes win.',

  problem: {
    unreachable: 'No answer from the site’s box',
    unreachableDetail: 'If you were saving, look whether it was put on record before you repeat it.',
    unknown: (status: number) => `The server answered with code ${status}`,
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

  notANumber: 'Not a number.',

  action: {
    cancel: 'Cancel',
    close: 'Close',
    save: 'Save',
    saving: 'Saving …',
    retry: 'Try again',
  },

  recorded: {
    done: (what: string) => `Recorded: ${what}.`,
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
    undo: 'Undo',
    undoing: 'Undoing …',
    undone: (what: string) => `Undone: ${what}.`,
    undoReason: 'Undone right away',
    undoUnanswered: (what: string) => `No answer to the undo from the site’s box. Still on record, as far as is known: ${what}.`,
    undoRefused: (what: string, title: string, detail: string) => `Not undone: ${what}. ${title}. ${detail}`,
  },

  page: {
    loading: 'Loading …',
    failed: 'This part could not be loaded.',
    missing: 'There is no such page.',
    backToNow: 'Back to Now',
    waiting: 'Waiting for the site’s first answer …',
    unreachable: 'The site’s box does not answer. Trying again every few seconds.',
  },
};
