import type { Session } from 'electron'

/** Electron's security checklist, item 5: the default grants every permission; the window needs none. */
export function denyPermissions(session: Session): void {
  session.setPermissionRequestHandler((_contents, _permission, answer) => answer(false))
  session.setPermissionCheckHandler(() => false)
  session.setDevicePermissionHandler(() => false)
}
