import { I18nProvider } from 'react-aria-components'
import { Ledger } from '../ledger/ledger.tsx'
import { Legend } from '../map/legend.tsx'
import { MapView } from '../map/map-view.tsx'
import { QuestionSheet } from '../questions/question-sheet.tsx'
import { SeasonStrip } from '../seasons/season-strip.tsx'
import { Spine } from '../spine/spine.tsx'
import { useWindow } from '../state/use-window.ts'
import { Masthead } from './masthead.tsx'
import { useShortcuts } from './shortcuts.ts'
import { Broken, Nothing, Opening } from './states.tsx'
import { useTheme } from './theme.ts'
import { WorkBar } from './work-bar.tsx'

/** The window: composes its parts and holds nothing itself. */
export function Root() {
  const phase = useWindow(state => state.phase)
  const locale = useWindow(state => state.reading.locale)
  const hasOverview = useWindow(state => state.overview !== null)
  useTheme()
  useShortcuts()
  return (
    <I18nProvider locale={locale}>
      <div className={hasOverview ? 'window' : 'window is-bare'}>
        <Masthead />
        {hasOverview && (
          <>
            <div className="left">
              <Spine />
              <Legend />
            </div>
            <main className="middle">
              <MapView />
              <Ledger />
            </main>
            <QuestionSheet />
            <SeasonStrip />
          </>
        )}
        {!hasOverview && phase === 'starting' && <Opening />}
        {!hasOverview && phase === 'empty' && <Nothing />}
        {phase === 'broken' && <Broken />}
        <WorkBar />
      </div>
    </I18nProvider>
  )
}
