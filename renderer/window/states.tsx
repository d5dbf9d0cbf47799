import { Button } from 'react-aria-components'
import { chooseBrief } from '../state/desk-session.ts'
import { useWindow } from '../state/use-window.ts'

/** While the first brief is read: the sheet's lines before the ink. */
export function Opening() {
  const brief = useWindow(state => state.brief)
  return (
    <main className="state" aria-busy="true">
      <div className="state-sheet">
        <p className="sheet-question">One moment</p>
        <h1 className="sheet-answer">
          {brief === null ? 'Setting up the desk.' : `Reading ${brief.name} and its layers.`}
        </h1>
        <div className="state-lines" aria-hidden="true">
          <span />
          <span />
          <span />
        </div>
      </div>
    </main>
  )
}

export function Nothing() {
  return (
    <main className="state">
      <div className="state-sheet">
        <p className="sheet-question">Nothing is open</p>
        <h1 className="sheet-answer">Open a brief, and this sheet fills with its season.</h1>
        <p className="sheet-footing">
          A brief is a small file that names the reports, parcels and waterways of a district and its seasons.
        </p>
        <Button className="button is-first" onPress={() => void chooseBrief()}>
          Open a brief
        </Button>
      </div>
    </main>
  )
}

export function Broken() {
  const failure = useWindow(state => state.failure)
  return (
    <main className="state" role="alert">
      <div className="state-sheet">
        <p className="sheet-question">The window could not start</p>
        <h1 className="sheet-answer">{failure?.problem.reason ?? 'The desk did not come up.'}</h1>
        {failure?.problem.remedy !== undefined && <p className="sheet-footing">{failure.problem.remedy}</p>}
      </div>
    </main>
  )
}
