/** Violations of the import rules below a folder that holds core/, renderer/ or electron/. */
export function findBorderViolations(base: string): Promise<{ modules: number; violations: string[] }>
