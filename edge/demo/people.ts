import type { Role } from '../site/entries.ts';

/** Somebody in the demonstration, and the role whose access token they sign in with. */
export interface Person {
  readonly name: string;
  readonly role: Extract<Role, 'crew' | 'quality'>;
}

/** All invented. */
export const rosa: Person = { name: 'Rosa', role: 'crew' };
export const teo: Person = { name: 'Teo', role: 'crew' };
export const ines: Person = { name: 'Ines', role: 'quality' };

export const PEOPLE: readonly Person[] = [rosa, teo, ines];
