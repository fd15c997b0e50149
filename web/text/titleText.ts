import { blockers, titleOf } from './en/findingTitles.ts';

/** What findings are called. It is fetched with the first of them: the first look is small. */
export const titleText = { titleOf, blockers };
