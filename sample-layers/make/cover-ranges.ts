/** Daubenmire's six classes as ranges of per cent. Source: Daubenmire (1959) Northwest Science 33:43-64. */
export const COVER_RANGES = ['0-5', '5-25', '25-50', '50-75', '75-95', '95-100'] as const
