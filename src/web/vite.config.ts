import { fileURLToPath } from 'node:url';
import react from '@vitejs/plugin-react';
import { defineConfig } from 'vite';
import { VitePWA } from 'vite-plugin-pwa';

export default defineConfig({
  root: fileURLToPath(new URL('.', import.meta.url)),
  plugins: [
    react(),
    VitePWA({
      registerType: 'prompt',
      // The page registers it by itself, and says when a newer build is here.
      injectRegister: null,
      filename: 'sw.js',
      manifest: {
        name: 'Stainwright bench',
        short_name: 'Stainwright',
        description: 'Stain protocols, runs and their timers.',
        start_url: '/',
        display: 'standalone',
        background_color: '#f1ebdc',
        theme_color: '#2b2a7d',
        icons: [{ src: '/icon.svg', sizes: 'any', type: 'image/svg+xml', purpose: 'any' }],
      },
      workbox: {
        // The first page is kept as well, so that what it opens later is of its own build.
        clientsClaim: true,
        globPatterns: ['**/*.{js,css,html,svg}'],
        // Everything else that the server answers is asked of the server: what is old must not look like now.
        navigateFallback: '/index.html',
        navigateFallbackDenylist: [/^\/(api|health|problems)(\/|$)/],
      },
    }),
  ],
  build: {
    outDir: fileURLToPath(new URL('../../dist/web', import.meta.url)),
    emptyOutDir: true,
    manifest: true,
    sourcemap: false,
  },
  server: { host: '127.0.0.1', proxy: { '/api': 'http://127.0.0.1:4180' } },
});
