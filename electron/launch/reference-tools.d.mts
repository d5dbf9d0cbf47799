export declare function missingTools(): [program: string, from: string][]
export declare function sayMissing(missing: readonly (readonly [program: string, from: string])[]): string | null
