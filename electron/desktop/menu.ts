import { type BrowserWindow, Menu, type MenuItemConstructorOptions } from 'electron'
import { CHANNELS, type MenuCommand } from '../ipc/surface.ts'

/** The application menu; what acts on the page is sent to it as a named command. */
export function buildMenu(window: BrowserWindow): Menu {
  const item = (label: string, accelerator: string, command: MenuCommand): MenuItemConstructorOptions => ({
    label,
    accelerator,
    click: () => window.webContents.send(CHANNELS.menu, command),
  })
  return Menu.buildFromTemplate([
    {
      label: 'File',
      submenu: [
        item('Open a brief…', 'CmdOrCtrl+O', 'open-brief'),
        item('Save the project file…', 'CmdOrCtrl+S', 'save-project'),
        { type: 'separator' },
        { role: 'quit' },
      ],
    },
    { label: 'Edit', submenu: [{ role: 'cut' }, { role: 'copy' }, { role: 'paste' }, { role: 'selectAll' }] },
    {
      label: 'Show',
      submenu: [
        item('Find…', 'CmdOrCtrl+F', 'find'),
        item('Ledger', 'CmdOrCtrl+L', 'ledger'),
        { type: 'separator' },
        { role: 'zoomIn' },
        { role: 'zoomOut' },
        { role: 'resetZoom' },
        { role: 'togglefullscreen' },
      ],
    },
  ])
}
