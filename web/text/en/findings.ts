export const findings = {
  count: (count: number) => (count === 1 ? '1 finding open' : `${count} findings open`),
  readAll: 'Read the findings',
};
