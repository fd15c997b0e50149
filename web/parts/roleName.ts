import { personText } from '../text/personText.ts';

const names: Readonly<Record<string, string>> = personText.settings.roleName;

/** A role as people call it. */
export const roleName = (role: string) => names[role] ?? role;
