import { contextBridge, ipcRenderer } from 'electron'
import { CHANNELS, type HostSurface, type MenuCommand } from '../ipc/surface.ts'

/** The one frozen object that the page gets; typed functions only, and no event reaches it. */
const surface: HostSurface = {
  startup: () => ipcRenderer.invoke(CHANNELS.startup),
  chooseFile: kind => ipcRenderer.invoke(CHANNELS.chooseFile, kind),
  readFile: (token, relativePath) =>
    relativePath === undefined
      ? ipcRenderer.invoke(CHANNELS.readFile, token)
      : ipcRenderer.invoke(CHANNELS.readFile, token, relativePath),
  saveFile: (suggestedName, bytes) => ipcRenderer.invoke(CHANNELS.saveFile, suggestedName, bytes),
  onMenu: listener => {
    ipcRenderer.on(CHANNELS.menu, (_event, command: MenuCommand) => listener(command))
  },
}

contextBridge.exposeInMainWorld('vinereach', surface)
