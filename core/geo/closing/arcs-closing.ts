import type { Circles } from './circles.ts'
import { ClosingArcs } from './closing-arcs.ts'
import type { Closing, ClosingEngine } from './closing-engine.ts'
import { partsOfLoops } from './loop-parts.ts'

/**
 * The closing from exact arcs. Where rounding leaves a link unpaired, the discs are tried with other jitter, then handed
 * to `fallback`; `onFallback` hears of it.
 * Accuracy and cost: areas to about 1e-7; near n log n. Its memory is kept from one set to the next.
 */
export function createArcsClosing(fallback: ClosingEngine, onFallback: (discs: number) => void): ClosingEngine {
  const arcs = new ClosingArcs()
  return {
    close(discs, { half, minimumHole }) {
      if (arcs.trace(discs, half)) return drawClosing(arcs, discs, minimumHole)
      onFallback(discs.r.length)
      return fallback.close(discs, { half, minimumHole })
    },
    closedArea(discs, half) {
      if (!arcs.trace(discs, half)) return fallback.closedArea(discs, half)
      let sum = 0
      for (let loop = 0; loop < arcs.loops.count; loop++) sum += arcs.loops.area[loop]!
      return sum
    },
  }
}

function drawClosing({ loops, centre }: ClosingArcs, discs: Circles, minimumHole: number): Closing {
  const rings = []
  for (let loop = 0; loop < loops.count; loop++) {
    const area = loops.area[loop]!
    if (area <= 0 && -area < minimumHole) continue
    rings.push({ ring: loops.draw(loop, centre[0], centre[1]), area, holdsDisc: loops.hasConvexArc(loop) })
  }
  return partsOfLoops(rings, discs)
}
