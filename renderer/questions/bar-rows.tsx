import { type Chart, formatQuantity, type Reading } from '../../core/model/index.ts'
import { selectByIds } from '../state/selecting.ts'
import { mapLayerOf } from './chart-selection.ts'

interface Props {
  readonly chart: Chart
  readonly reading: Reading
  readonly chosen: readonly boolean[]
}

export function BarRows({ chart, reading, chosen }: Props) {
  const most = Math.max(0, ...chart.points.map(point => point.y ?? 0))
  return (
    <ul className="bar-rows">
      {chart.points.map((point, i) => {
        const layer = mapLayerOf(point.selection)
        const row = (
          <>
            <span className="bar-name">{point.label}</span>
            <span className="bar-track" aria-hidden="true">
              <span style={{ width: `${most === 0 ? 0 : (100 * (point.y ?? 0)) / most}%` }} />
            </span>
            <span className="figure">{formatQuantity({ kind: chart.yKind, value: point.y }, reading)}</span>
          </>
        )
        return (
          <li key={point.label} className={chosen[i] === true ? 'is-chosen' : ''}>
            {layer === undefined ? (
              <span className="bar-row">{row}</span>
            ) : (
              <button
                type="button"
                className="bar-row"
                onClick={() => void selectByIds(layer, point.selection!.ids, false)}
              >
                {row}
              </button>
            )}
          </li>
        )
      })}
    </ul>
  )
}
