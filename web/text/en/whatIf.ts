/** Another rule for the same readings. */
export const whatIf = {
  title: 'What would another rule say?',
  about:
    'Every reading of this joint, counted again in this browser by the schedule you choose, with the probes as they are registered now. It changes nothing on record.',
  schedule: 'Schedule',
  count: 'Count',
  counting: 'Counting…',
  warm: (hours: string) => `${hours} warm hours`,
  own: (title: string, version: string) => `The joint’s own: ${title}, version ${version}`,
  other: (title: string, version: string) => `${title}, version ${version}`,
  reached: (stage: string, moment: string) => `${stage}: reached ${moment}`,
  notReached: (stage: string, hours: string) => `${stage}: not reached, ${hours} warm hours missing`,
  tooMany: 'This joint has too many readings to be counted in a browser; use the command “cure” with its file.',
  notLaidUp: 'Hours count from the lay-up, and none is on record.',
};
