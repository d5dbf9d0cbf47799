import './trusted-types.ts'
import './theme/fonts.css'
import './theme/tokens.css'
import './theme/base.css'
import './theme/window.css'
import './theme/map.css'
import './theme/legend.css'
import './theme/measure.css'
import './theme/sheet.css'
import './theme/ledger.css'
import { createRoot } from 'react-dom/client'
import { showFailure, startWindow } from './state/desk-session.ts'
import { windowStore } from './state/window-state.ts'
import { openHostSurface } from './surface.ts'
import { Root } from './window/root.tsx'
import { doMenuCommand } from './window/shortcuts.ts'
import { writeTheme } from './window/theme.ts'

writeTheme()
createRoot(document.getElementById('window')!).render(<Root />)

try {
  const surface = await openHostSurface()
  surface.onMenu(doMenuCommand)
  await startWindow(surface)
} catch (error) {
  showFailure(error)
  windowStore.set({ phase: 'broken' })
}
