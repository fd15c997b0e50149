import { en } from './en.ts';

/** Every sentence of the pages, in one language. Another language is another object of this type. */
type Text = typeof en;

export const text: Text = en;
