import { fileURLToPath } from 'node:url';
import react from '@vitejs/plugin-react';
import { defineConfig } from 'vite';

export default defineConfig({
  root: fileURLToPath(new URL('.', import.meta.url)),
  plugins: [react()],
  build: {
    outDir: fileURLToPath(new URL('../../dist/web', import.meta.url)),
    emptyOutDir: true,
    manifest: true,
    sourcemap: false,
  },
  server: { host: '127.0.0.1', proxy: { '/api': 'http://127.0.0.1:4180' } },
});
