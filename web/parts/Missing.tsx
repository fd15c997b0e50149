import { Link } from 'wouter-preact';
import { text } from '../text/text.ts';

/** What a page is about is not on the site. */
export function Missing({ words }: { words: string }) {
  return (
    <div class="notice">
      <p>{words}</p>
      <Link href="/" class="button">
        {text.page.backToNow}
      </Link>
    </div>
  );
}
