import { MAP_LAYERS, QUESTION_WORDS, QUESTIONS } from '../../core/desk-view.ts'
import { askQuestion, chooseBrief, runSeason } from '../state/desk-session.ts'
import { turnTool } from '../state/measuring.ts'
import { saveProject } from '../state/saving.ts'
import { closeLedger, openLedger } from '../state/selecting.ts'
import { setTheme, setUnits, windowStore } from '../state/window-state.ts'

export interface Command {
  readonly id: string
  readonly label: string
  readonly keys?: string
  act(): void
}

/** Opens the table on what the map is about, or puts it away. */
export function turnLedger(): void {
  const { ledger, selection, map } = windowStore.get()
  if (ledger !== null) {
    closeLedger()
    return
  }
  const present = MAP_LAYERS.find(id => id === 'patches' && map.layers.some(layer => layer.id === id))
  void openLedger(selection?.layer ?? present ?? map.layers[0]?.id ?? 'patches')
}

/** Everything that the window can do, by its words. */
export const COMMANDS: readonly Command[] = [
  { id: 'run', label: 'Run the season', keys: 'R', act: () => void runSeason() },
  { id: 'open', label: 'Open a brief …', keys: 'O', act: () => void chooseBrief() },
  { id: 'save', label: 'Save the project …', keys: 'S', act: () => void saveProject() },
  { id: 'table', label: 'Show or close the table', keys: 'T', act: turnLedger },
  ...QUESTIONS.map((question, i) => ({
    id: `ask-${question}`,
    label: QUESTION_WORDS[question],
    keys: String(i + 1),
    act: () => askQuestion(question),
  })),
  { id: 'length', label: 'Measure a length', keys: 'M', act: () => turnTool('length') },
  { id: 'area', label: 'Measure an area', keys: 'A', act: () => turnTool('area') },
  { id: 'box', label: 'Select in a box', keys: 'B', act: () => turnTool('box') },
  { id: 'acres', label: 'Units: acres and feet', act: () => setUnits('acres-feet') },
  { id: 'hectares', label: 'Units: hectares and metres', act: () => setUnits('hectares-metres') },
  { id: 'light', label: 'Light paper', act: () => setTheme('light') },
  { id: 'dark', label: 'Dark paper', act: () => setTheme('dark') },
  { id: 'system', label: 'Paper as the system has it', act: () => setTheme('system') },
]

export function findCommands(text: string): readonly Command[] {
  const words = text.toLowerCase().split(/\s+/).filter(Boolean)
  if (words.length === 0) return COMMANDS
  return COMMANDS.filter(command => words.every(word => command.label.toLowerCase().includes(word)))
}
