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
    weather: 'Weather ahead',
    evidence: 'Evidence',
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
