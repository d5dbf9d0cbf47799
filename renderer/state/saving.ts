import { desk, doWork, host } from './desk-session.ts'
import { windowStore } from './window-state.ts'

async function save(name: string, bytes: Uint8Array): Promise<void> {
  const saved = await host().saveFile(name, bytes)
  if (saved !== null) windowStore.set({ notice: `Saved ${saved.name}.` })
}

const fileName = (title: string) =>
  title
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, '-')
    .replace(/^-|-$/g, '')

export const saveProject = (): Promise<boolean> =>
  doWork('Saving the project', async () => {
    const bytes = await desk().call('writeProject')
    await save(`${fileName(windowStore.get().overview?.title ?? 'project')}.gpkg`, bytes)
  })

/** Saves a sheet of the seasons chosen; its name says them. */
export const saveSheet = (id: string): Promise<boolean> =>
  doWork('Drawing the sheet', async () => {
    const { choice } = windowStore.get()
    const seasons = [choice.shown, ...(choice.compared === null ? [] : ['with', choice.compared])].join('-')
    await save(`${id}-${fileName(seasons)}.pdf`, await desk().call('drawSheet', id, 'pdf', choice))
  })
