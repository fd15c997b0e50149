import '../jitless.ts';
// The parts' own styles come after these, and win.
import '../style/tokens.css';
import '../style/base.css';
import '../style/parts.css';
import '../style/fields.css';
import './page.css';
import { render } from 'preact';
import { listen } from '../evidence/listen.ts';
import { OfflinePage } from './OfflinePage.tsx';

// The page is one file, so its script is also that of the thread beside it, which has no document.
if (typeof document === 'undefined') listen();
else {
  const own = document.currentScript?.textContent ?? '';
  const root = document.getElementById('app');
  if (root !== null) render(<OfflinePage script={own} />, root);
}
