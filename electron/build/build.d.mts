export const ROOT: string
/** Builds the named targets (batch, host, desktop, renderer) where they are not up to date. */
export function buildTargets(names: readonly string[], say?: (text: string) => void): Promise<void>
