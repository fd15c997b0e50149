import { saying } from './en/saying.ts';

/** The sentences of forms. They are fetched with the first form: the first look is small. */
export const sayingText = saying;
