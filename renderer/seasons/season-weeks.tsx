import type { SeasonBand } from '../../core/desk-view.ts'

const WIDTH = 240
const HEIGHT = 64
const LINE = 40

interface Props {
  readonly band: SeasonBand
  readonly tallest: number
  readonly role: 'shown' | 'compared' | 'rest'
}

/** Weekly counts as two steps of ink, found up and clear down, with the windows in which each evidence can be seen. */
export function SeasonWeeks({ band, tallest, role }: Props) {
  const week = WIDTH / Math.max(1, band.weeks.length)
  const found = steps(
    band.weeks.map(entry => entry.found),
    week,
    -(LINE - 8) / tallest,
  )
  const clear = steps(
    band.weeks.map(entry => entry.clear),
    week,
    (HEIGHT - LINE - 2) / tallest,
  )
  const leaf = band.detectable.find(entry => entry.evidence === 'leaf')
  return (
    <svg
      className={`weeks is-${role}`}
      viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
      preserveAspectRatio="none"
      aria-hidden="true"
    >
      {leaf !== undefined && (
        <path
          className="weeks-window"
          vectorEffect="non-scaling-stroke"
          d={`M${leaf.from * WIDTH} 7V2H${leaf.to * WIDTH}V7`}
        />
      )}
      <path className="weeks-found" d={found} />
      <path className="weeks-clear" vectorEffect="non-scaling-stroke" d={clear} />
      <path className="weeks-line" vectorEffect="non-scaling-stroke" d={`M0 ${LINE}H${WIDTH}`} />
    </svg>
  )
}

/** A stepped area from the line, one step a week. */
function steps(counts: readonly number[], week: number, scale: number): string {
  const strokes = counts.map((count, i) => `V${(LINE + count * scale).toFixed(2)}H${((i + 1) * week).toFixed(2)}`)
  return `M0 ${LINE}${strokes.join('')}V${LINE}Z`
}
