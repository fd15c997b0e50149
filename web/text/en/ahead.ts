export const ahead = {
  /** A chance by its tenths, 0 … 10: neither end is certain. */
  chance: (tenths: number) => (tenths <= 0 ? 'less than 1 in 10' : tenths >= 10 ? 'more than 9 in 10' : `about ${tenths} in 10`),

  booking: {
    plan: 'Plan and book',
    none: 'No appointment yet.',
    noOutlook: 'No time can be named yet.',
    ready: 'May start now.',
    started: 'Started.',
    booked: (activity: string, at: string) => `${activity} booked ${at}`,
    chance: (chance: string) => `${chance} that the hours are there`,
    noChance: 'no chance can be named',
    decidedBy: (joint: string) => `decided by ${joint}`,
    safeFrom: (at: string) => `About 9 in 10 from ${at} on.`,
    waitsFor: 'A finding has to be decided first, whatever the hours are.',
    look: {
      held: 'Likely to hold',
      waits: 'Waits for a decision',
      doubtful: 'Doubtful',
      missed: 'Likely missed',
      unknown: 'Not known now',
    },
    now: 'now',
    past: 'As last heard:',
  },

  warnings: {
    title: 'Look ahead',
    asOf: (age: string) => `As last heard ${age} ago`,
    at: (at: string) => `at about ${at}`,
    soon: 'soon',
    cold: {
      title: 'Cold ahead',
      /** `isLikely`: it is more likely than not. */
      says: (joint: string, isLikely: boolean, floor: string | null, at: string, chance: string | null) =>
        `${joint} ${isLikely ? 'will likely' : 'may'} go below ${floor ?? 'its floor'} ${at}${chance === null ? '' : `: ${chance}`}. Nothing counts below it.`,
      lowest: (temperature: string) => `It may fall to ${temperature}.`,
      todo: 'Keep it warm before then: cover it, or heat it.',
    },
    booking: {
      title: 'Booking at risk',
      says: (booked: string, due: string | null, chance: string | null) =>
        `${booked} is booked${due === null ? '' : ` ${due}`}${chance === null ? '' : `: ${chance} that it holds`}.`,
      other: (sump: string) => `Work on ${sump}`,
      of: (activity: string, sump: string) => `${activity} on ${sump}`,
      likely: (at: string) => `Its hours are likely there ${at}.`,
      decidedBy: (joint: string) => `${joint} decides it.`,
      todo: 'See what would make it hold, or move the appointment.',
    },
    material: {
      title: 'Material off its range',
      says: (sump: string, due: string | null, temperature: string | null) =>
        `Left in the truck, the material for ${sump} will be ${temperature === null ? 'out of its range' : `at about ${temperature}`} ${
          due === null ? 'when it is used' : `at ${due}`
        }.`,
      range: (least: string, most: string) => `It is to be used at ${least} to ${most}.`,
      todo: 'Bring it into a warm room in time.',
      todoFor: (span: string) => `Bring it into a warm room about ${span} before.`,
    },
    silent: {
      title: 'Readings have stopped',
      says: (probe: string, span: string | null) => `Probe ${probe} has not been heard${span === null ? '' : ` for ${span}`}.`,
      limit: (minutes: string) => `A silence of more than ${minutes} min earns nothing.`,
      todo: 'Look after its battery, its cable and its radio.',
    },
    plan: 'What would help',
    toJoint: 'To the joint',
    caution:
      'Before any heater: a qualified person’s word near a fuelled tank or in a classified area. Unvented gas heaters add water, carbon dioxide and an ignition source.',
    acknowledge: 'Acknowledge',
    seen: (name: string, at: string) => `Seen by ${name}, ${at}`,
    remind: 'Remind me',
    remindTitle: 'Remind me when?',
    remindLead: 'Until then it stands in one line with the others that wait. It comes back by itself.',
    remindNone: 'It may come within the hour: there is no time left to put it off to.',
    in: { one: 'In 1 h', four: 'In 4 h' },
    at6: (at: string) => `At ${at}`,
    waiting: (count: number, until: string) =>
      count === 1 ? `1 warning waits until ${until}` : `${count} warnings wait until ${until}`,
    waitsUntil: (at: string, name: string) => `Waits until ${at} (${name})`,
    recordedSeen: (title: string, where: string) => `“${title}” seen (${where})`,
    recordedSnoozed: (title: string, where: string, until: string) => `“${title}” (${where}) waits until ${until}`,
  },

  heat: {
    what: { heater: 'Heater', cover: 'Cover' },
    on: { heater: 'Heater on', cover: 'Cover on' },
    off: { heater: 'Heater off', cover: 'Cover off' },
    since: (what: string, at: string, name: string) => `${what} on since ${at}, by ${name}`,
    set: (temperature: string) => `set to ${temperature}`,
    ofSump: (sump: string) => `on all of ${sump}`,
    offShort: 'Off',
    offNow: { heater: 'Heater is off', cover: 'Cover is off' },
    offSump: { heater: 'Heater is off on the whole sump', cover: 'Cover is off on the whole sump' },
    recordedOff: (what: string, where: string) => `${what.toLowerCase()} off on ${where}`,
  },
};
