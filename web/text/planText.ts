import { layUpAhead } from './en/layUpAhead.ts';
import { plan } from './en/plan.ts';

/** The sentences about what lies ahead of a sump. They are fetched with its page: the first look is small. */
export const planText = { ...plan, layUp: layUpAhead };
