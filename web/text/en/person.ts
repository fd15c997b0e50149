/** Signing in, and what a browser keeps for whoever uses it. */
export const person = {
  signIn: {
    title: 'Sign in',
    lead: 'Your name is written beside everything you put on record.',
    name: 'Your name',
    token: 'Access token',
    badToken: 'Ask the person who looks after this site for the one in force.',
    tokenHint: 'From the person who looks after this site.',
    submit: 'Sign in',
    busy: 'Signing in …',
  },

  settings: {
    title: 'Settings',
    lead: 'These are kept in this browser only.',
    unit: 'Temperature',
    unitChoice: { F: '°F', C: '°C' },
    hourCycle: 'Clock',
    hourCycleChoice: { '24': '24 h', '12': '12 h' },
    theme: 'Appearance',
    themeChoice: { auto: 'As the device', light: 'Light', dark: 'Dark' },
    who: 'Signed in',
    whoIs: (name: string, role: string) => `${name}, ${role}`,
    automatic: 'This server signs everybody in by itself.',
    roleName: { crew: 'crew', quality: 'quality', claims: 'claims (read only)', admin: 'administrator', system: 'system' },
    signOut: 'Sign out',
  },
};
