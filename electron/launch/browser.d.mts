export declare function isProgram(path: string): boolean
export declare function findBrowser(): string | null
export declare const HOW_TO_INSTALL: string
