/** What a joint's drawing says of what lies ahead. */
export const chartAhead = {
  title: 'What lies ahead',
  now: 'now',
  temperature: 'Temperature ahead, likely',
  warm: 'Warm hours ahead, likely',
  bandTemperature: 'Temperature ahead: likely, and 5 to 95 of 100 cases',
  bandWarm: 'Warm hours ahead: likely, and 5 to 95 of 100 cases',
  nothing: 'Nothing lies ahead to draw: there is no forecast and no day of readings to go by.',
  likelyOf: (likely: string, low: string, high: string) => `${likely} (${low} to ${high})`,
  table: 'What lies ahead, hour by hour',
  low: 'low',
  likely: 'likely',
  high: 'high',
  tableTemperature: (which: string) => `Temperature, ${which}`,
  tableWarm: (which: string) => `Warm hours, ${which}`,
  summary: {
    temperature: (until: string, low: string, high: string, lowest: string, highest: string) =>
      `Ahead, until ${until}: likely ${low} to ${high}, between ${lowest} and ${highest}.`,
    warm: (likely: string, low: string, high: string) => `Warm hours by then: likely ${likely}, between ${low} and ${high}.`,
  },
  basis: {
    title: 'What it rests on',
    forecast: (source: string, age: string, until: string) =>
      `Air by the forecast of ${source}, given ${age} ago, good until ${until}.`,
    persistence: 'No forecast: the site’s last day is taken to repeat.',
    own: 'No forecast, and nothing measures the air: the joint’s own last day is taken to repeat.',
    airError: (error: string, count: number) =>
      `The air may be off by ${error} a day ahead${
        count === 0 ? ', which is assumed' : count === 1 ? ', from 1 comparison here' : `, from ${count} comparisons here`
      }.`,
    lag: (hours: string, offset: string, fitted: string, error: string) =>
      `The joint follows the air with a lag of ${hours} h and rests ${offset}: learned from ${fitted} h of its own readings, off by ${error} on average.`,
    lagAssumed: (hours: string) =>
      `The joint is assumed to follow the air with a lag of ${hours} h: too few readings of its own to learn from yet.`,
    warmer: (difference: string) => `${difference} warmer than it`,
    colder: (difference: string) => `${difference} colder than it`,
    noHeat: 'No heater or cover is on, as far as was said.',
    on: { heater: 'A heater', cover: 'A cover' },
    heat: (what: string, since: string, does: string, seen: boolean) =>
      `${what} on since ${since} is taken to ${does}${seen ? ', as the readings show' : '; the readings do not show it yet'}.`,
    level: (temperature: string) => `hold ${temperature} about it`,
    rise: (difference: string) => `make it ${difference} warmer`,
    asOf: (at: string) => `Worked out ${at}.`,
  },
};
