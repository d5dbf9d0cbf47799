import { CircleCheck, TriangleAlert, X } from 'lucide-react'
import { useEffect } from 'react'
import { Button, ProgressBar } from 'react-aria-components'
import { describeProblem } from '../../core/model/index.ts'
import { stopWork } from '../state/desk-session.ts'
import { useWindow } from '../state/use-window.ts'
import { windowStore } from '../state/window-state.ts'
import { IconButton } from '../widgets/icon-button.tsx'

const NOTICE_SHOWN_MS = 6000

/** What runs now with its progress and a stop; what went wrong, until it is put away; what was just done, briefly. */
export function WorkBar() {
  const notice = useWindow(state => state.notice)
  useEffect(() => {
    if (notice === null) return
    const timer = setTimeout(() => windowStore.set({ notice: null }), NOTICE_SHOWN_MS)
    return () => clearTimeout(timer)
  }, [notice])
  return (
    <div className="work-bars">
      <Failure />
      <Running />
      <div role="status" className={notice === null ? '' : 'work-bar is-done'}>
        {notice !== null && (
          <>
            <CircleCheck size={15} aria-hidden="true" /> {notice}
          </>
        )}
      </div>
    </div>
  )
}

function Running() {
  const work = useWindow(state => state.work)
  if (work === null) return null
  const percent = Math.round(work.fraction * 100)
  return (
    <div className="work-bar">
      <ProgressBar className="progress" value={percent} aria-label={work.label}>
        <div className="progress-words">
          <strong>{work.label}</strong>
          <span className="soft">{work.note}</span>
          <span className="figure">{percent} %</span>
        </div>
        <div className="progress-track">
          <div style={{ width: `${percent}%` }} />
        </div>
      </ProgressBar>
      <Button className="button" isDisabled={work.isStopping} onPress={stopWork}>
        Stop
      </Button>
    </div>
  )
}

function Failure() {
  const failure = useWindow(state => state.failure)
  const phase = useWindow(state => state.phase)
  if (failure === null || phase === 'broken') return null
  const { remedy, ...what } = failure.problem
  return (
    <div className="work-bar is-failure" role="alert">
      <TriangleAlert size={16} aria-hidden="true" />
      <span>
        <strong>{describeProblem(what)}</strong>
        {remedy !== undefined && <span> {remedy}</span>}
      </span>
      <IconButton label="Put away" onPress={() => windowStore.set({ failure: null })}>
        <X size={15} />
      </IconButton>
    </div>
  )
}
