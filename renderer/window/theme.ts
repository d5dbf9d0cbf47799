import { useEffect, useSyncExternalStore } from 'react'
import { useWindow } from '../state/use-window.ts'
import { type ThemeChoice, windowStore } from '../state/window-state.ts'

const darkSystem = () => window.matchMedia('(prefers-color-scheme: dark)')

const isDarkFor = (theme: ThemeChoice, isDarkSystem: boolean) =>
  theme === 'dark' || (theme === 'system' && isDarkSystem)

/** Writes the paper's colour on the page; also called before the first paint. */
export function writeTheme(): void {
  const isDark = isDarkFor(windowStore.get().theme, darkSystem().matches)
  document.documentElement.dataset.theme = isDark ? 'dark' : 'light'
}

export function useIsDark(): boolean {
  const theme = useWindow(state => state.theme)
  const isDarkSystem = useSyncExternalStore(
    listener => {
      const query = darkSystem()
      query.addEventListener('change', listener)
      return () => query.removeEventListener('change', listener)
    },
    () => darkSystem().matches,
  )
  return isDarkFor(theme, isDarkSystem)
}

export function useTheme(): void {
  const isDark = useIsDark()
  useEffect(() => {
    document.documentElement.dataset.theme = isDark ? 'dark' : 'light'
  }, [isDark])
}
