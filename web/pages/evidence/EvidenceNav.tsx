import { Link } from 'wouter-preact';
import { claimsText } from '../../text/claimsText.ts';

const words = claimsText.nav;

const PAGES = [
  { name: 'find', href: '/evidence' },
  { name: 'verify', href: '/evidence/verify' },
  { name: 'open', href: '/evidence/open' },
] as const;

/** Between the pages about evidence. */
export function EvidenceNav({ here }: { here: (typeof PAGES)[number]['name'] | null }) {
  return (
    <nav class="evidence-nav" aria-label={words.label}>
      {PAGES.map(({ name, href }) => (
        <Link key={name} href={href} class="evidence-link" aria-current={name === here ? 'page' : undefined}>
          {words[name]}
        </Link>
      ))}
    </nav>
  );
}
