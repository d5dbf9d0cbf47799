import type { Map as MapLibreMap } from 'maplibre-gl'

/** How long a lost drawing context is waited for. */
const PATIENCE_MS = 1000

/** Calls back once where the browser took the map's drawing context and does not give it back soon. */
export function watchContext(map: MapLibreMap, onGone: () => void): void {
  const held: { timer: ReturnType<typeof setTimeout> | undefined } = { timer: undefined }
  const forget = () => clearTimeout(held.timer)
  map.on('webglcontextlost', () => {
    forget()
    held.timer = setTimeout(onGone, PATIENCE_MS)
  })
  map.on('webglcontextrestored', forget)
  map.on('remove', forget)
}
