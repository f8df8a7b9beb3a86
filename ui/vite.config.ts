// Builds the page into `dist`: the shell, the pages in chunks of their own, and the two modules that
// browsers load by address (the recording worklet and the shell worker).
import { fileURLToPath } from 'node:url';
import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url));

export default defineConfig({
  plugins: [svelte()],
  resolve: process.env['VITEST'] ? { conditions: ['browser'] } : {},
  build: {
    outDir: process.env['WATERKEY_PAGE_OUT'] ?? 'dist',
    emptyOutDir: true,
    // A strict content policy refuses data: addresses for scripts and fonts.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    rolldownOptions: {
      input: { index: here('index.html'), shell: here('src/shell-worker.ts') },
      output: {
        // The worker must stand at the root of what it looks after, under a name that never changes.
        entryFileNames: (chunk) => (chunk.name === 'shell' ? 'shell-worker.js' : 'assets/[name]-[hash].js'),
      },
    },
  },
  server: { proxy: { '/api': { target: process.env['WATERKEY_SERVER'] ?? 'http://127.0.0.1:7373', ws: true } } },
  test: { environment: 'jsdom', include: ['src/**/*.test.ts'] },
});
