import { verify } from './en/verify.ts';

/** The sentences of checking a bundle. They are fetched with its page, and built into the page that works offline. */
export const verifyText = verify;
