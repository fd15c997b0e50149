import preact from '@preact/preset-vite';
import { defineConfig } from 'vite';

export default defineConfig({
  plugins: [preact()],
  build: { outDir: 'dist', emptyOutDir: true, modulePreload: { polyfill: false } },
  server: { proxy: { '/api': process.env.WARMHOURS_HTTP ? `http://${process.env.WARMHOURS_HTTP}` : 'http://127.0.0.1:8080' } },
});
