import { fileURLToPath } from 'node:url'
import react from '@vitejs/plugin-react'
import { defineConfig } from 'vite'

/** Parts under the LGPL stay files of their own, so that anyone may put another build of them in their place. */
const REPLACEABLE = ['geos-wasm', 'geojson-validation']

function chunkName(id: string): string | undefined {
  const part = REPLACEABLE.find(name => id.includes(`/node_modules/${name}/`))
  if (part !== undefined) return part
  if (id.includes('/node_modules/maplibre-gl/')) return 'maplibre-gl'
  return undefined
}

const output = {
  chunkFileNames: 'assets/[name]-[hash].js',
  manualChunks: chunkName,
}

export default defineConfig({
  root: fileURLToPath(new URL('./renderer', import.meta.url)),
  base: './',
  plugins: [react()],
  worker: { format: 'es', rollupOptions: { output } },
  build: {
    outDir: '../dist/renderer',
    emptyOutDir: true,
    target: 'es2023',
    // The strict content policy admits no inlined scripts, and fonts stay files of their own.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    chunkSizeWarningLimit: 1600,
    rollupOptions: { output },
  },
})
