import './jitless.ts';
import { render } from 'preact';
import { App } from './app.tsx';
import { resumeSession } from './live/session.ts';
import './style/tokens.css';
import './style/base.css';
import './style/parts.css';
import './style/shell.css';
import './style/now.css';
import './style/card.css';

const root = document.getElementById('app');
if (root !== null) render(<App />, root);
void resumeSession();
