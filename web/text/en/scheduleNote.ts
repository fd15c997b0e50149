/** What a schedule is, beside the hours that it counts. */
export const scheduleNote = {
  scheduleVersion: (title: string, version: number) => `${title}, version ${version}`,
  rule: (reference: string, floor: string, minutes: string) =>
    `An hour at ${reference} or warmer counts as one; a colder hour counts as less, by the material’s own rate law; below ${floor}, or with no reading for more than ${minutes} min, it counts as nothing.`,
  guard: (guard: string, full: string) =>
    `The probe’s uncertainty of ${guard} is taken off each reading before it is judged, so the probe has to show ${full} for full credit.`,
  source: (source: string) => `Source: ${source}`,
  rateTable: 'Rate table',
};
