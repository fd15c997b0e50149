import { opened } from './en/opened.ts';

/** The sentences about a bundle that was read back. They are fetched with its page. */
export const openedText = opened;
