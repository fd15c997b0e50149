import { deciding } from './en/deciding.ts';

/** The sentences beside findings. They are fetched with the pages that show them: the first look is small. */
export const findingText = deciding;
