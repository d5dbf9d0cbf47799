import { FolderOpen, Moon, Play, Save, Sun, Table2 } from 'lucide-react'
import { Button, Radio, RadioGroup } from 'react-aria-components'
import { turnLedger } from '../find/commands.ts'
import { FindBox } from '../find/find-box.tsx'
import { chooseBrief, runSeason } from '../state/desk-session.ts'
import { saveProject } from '../state/saving.ts'
import { useWindow } from '../state/use-window.ts'
import { setTheme, setUnits } from '../state/window-state.ts'
import { IconButton } from '../widgets/icon-button.tsx'
import { useIsDark } from './theme.ts'

/** Title of the district, the date of its data, the find box and the few things that are always at hand. */
export function Masthead() {
  const overview = useWindow(state => state.overview)
  const isBusy = useWindow(state => state.work !== null)
  const isChanged = useWindow(state => Object.keys(state.changes).length > 0)
  const units = useWindow(state => state.reading.units)
  const isDark = useIsDark()
  const isOpen = overview !== null
  return (
    <header className="masthead">
      <span className="brand">Vinereach</span>
      {isOpen && (
        <span className="district">
          <strong>{overview.title}</strong>
          <span className="soft">data to {overview.dataDate}</span>
        </span>
      )}
      <FindBox />
      <RadioGroup
        className="units"
        aria-label="Units"
        orientation="horizontal"
        value={units}
        onChange={value => setUnits(value as typeof units)}
      >
        <Radio value="acres-feet">ac ft</Radio>
        <Radio value="hectares-metres">ha m</Radio>
      </RadioGroup>
      <div className="masthead-tools">
        <IconButton label={isDark ? 'Light paper' : 'Dark paper'} onPress={() => setTheme(isDark ? 'light' : 'dark')}>
          {isDark ? <Sun size={16} /> : <Moon size={16} />}
        </IconButton>
        <IconButton label="Table (T)" isDisabled={!isOpen} onPress={turnLedger}>
          <Table2 size={16} />
        </IconButton>
        <IconButton label="Open a brief (O)" isDisabled={isBusy} onPress={() => void chooseBrief()}>
          <FolderOpen size={16} />
        </IconButton>
        <IconButton label="Save the project (S)" isDisabled={!isOpen || isBusy} onPress={() => void saveProject()}>
          <Save size={16} />
        </IconButton>
      </div>
      <Button
        className={isChanged ? 'button is-first' : 'button'}
        isDisabled={!isOpen || isBusy}
        onPress={() => void runSeason()}
      >
        <Play size={13} aria-hidden="true" /> Run the season
      </Button>
    </header>
  )
}
