import preact from '@preact/preset-vite';
import { defineConfig } from 'vite';
import { onePage } from './verify/onePage.ts';

export default defineConfig({
  plugins: [preact(), onePage()],
  build: {
    outDir: 'dist',
    emptyOutDir: true,
    modulePreload: {
      polyfill: false,
      // The names of all that every later part needs would take a kilobyte of the first look: a part's scripts name theirs themselves.
      resolveDependencies: (_, names, { hostType }) =>
        hostType === 'html' ? names : names.filter((name) => name.endsWith('.css')),
    },
  },
  server: { proxy: { '/api': process.env.WARMHOURS_HTTP ? `http://${process.env.WARMHOURS_HTTP}` : 'http://127.0.0.1:8080' } },
});
