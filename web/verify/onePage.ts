import { sha256 } from '@noble/hashes/sha2.js';
import { utf8ToBytes } from '@noble/hashes/utils.js';
import preact from '@preact/preset-vite';
import { build, type Plugin, type Rolldown } from 'vite';

/** A file that needs nothing beside it: the page that checks bundles offline. */
const FILE = 'verify.html';

/**
 * Builds `verify/main.tsx` into one page with its script and style inside, beside the site's own pages. It may load nothing: its
 * policy lets through its own script and style by their hashes, and the thread that it makes of that script.
 */
export function onePage(): Plugin {
  let root = '';
  return {
    name: 'one-page',
    apply: 'build',
    configResolved(config) {
      root = config.root;
    },
    async generateBundle() {
      this.emitFile({ type: 'asset', fileName: FILE, source: await pageOf(root) });
    },
  };
}

async function pageOf(root: string): Promise<string> {
  const built = (await build({
    root,
    configFile: false,
    logLevel: 'warn',
    plugins: [preact()],
    build: {
      write: false,
      cssCodeSplit: false,
      rolldownOptions: { input: `${root}/verify/main.tsx`, output: { format: 'iife' } },
    },
  })) as Rolldown.RolldownOutput;
  const parts = built.output;
  const scripts = parts.filter((part) => part.type === 'chunk').map(({ code }) => code);
  const styles = parts.filter((part) => part.type === 'asset').map(({ source }) => String(source));
  const [script, style] = [scripts, styles].map(([only, ...others]) => {
    if (only === undefined || others.length > 0) throw new Error(`${FILE} must come to one script and one style`);
    return only;
  }) as [string, string];
  return written(inTag(script.trim(), 'script'), inTag(style.trim(), 'style'));
}

/** Nothing in it may end the tag that it stands in, or begin a comment there. */
function inTag(text: string, tag: 'script' | 'style'): string {
  const ending = new RegExp(`</${tag}|<!--`, 'i').exec(text);
  if (ending !== null) throw new Error(`${FILE} has ${ending[0]} within its ${tag}`);
  return text;
}

function written(script: string, style: string): string {
  const policy = [
    "default-src 'none'",
    `script-src '${hashOf(script)}'`,
    `style-src '${hashOf(style)}'`,
    'worker-src blob:',
    'img-src data:',
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ');
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1, viewport-fit=cover">
<meta name="color-scheme" content="light dark">
<meta name="referrer" content="no-referrer">
<title>Check a bundle of evidence – Warmhours</title>
<link rel="icon" href="data:,">
<style>${style}</style>
</head>
<body>
<div id="app"></div>
<noscript>This page needs JavaScript to check a bundle. READ-ME-FIRST.txt in the bundle says how to check it with sha256sum and openssl alone.</noscript>
<script>${script}</script>
</body>
</html>
`;
}

/** As a content security policy names what may stand in the page. */
function hashOf(text: string): string {
  return `sha256-${btoa(String.fromCharCode(...sha256(utf8ToBytes(text))))}`;
}
