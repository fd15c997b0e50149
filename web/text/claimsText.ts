import { claims } from './en/claims.ts';

/** The sentences about finding and handing out evidence. They are fetched with those pages. */
export const claimsText = claims;
