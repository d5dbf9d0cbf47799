import sansItalic from '@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-400-italic.woff?url'
import sans from '@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-400-normal.woff?url'
import sansSemibold from '@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-600-normal.woff?url'
import sansExtended from '@fontsource/ibm-plex-sans/files/ibm-plex-sans-latin-ext-400-normal.woff?url'
import serifSemibold from '@fontsource/ibm-plex-serif/files/ibm-plex-serif-latin-600-normal.woff?url'
import sqlWasm from 'sql.js/dist/sql-wasm.wasm?url'
import type { AssetAddresses } from '../worker/messages.ts'

const absolute = (address: string) => new URL(address, window.location.href).href

/** Wasm and fonts that the desk is handed as bytes; fonts by the names under which sheets ask for them. */
export const DESK_ASSETS: AssetAddresses = {
  sqlWasm: absolute(sqlWasm),
  fonts: {
    sans: absolute(sans),
    'sans-bold': absolute(sansSemibold),
    'sans-italic': absolute(sansItalic),
    'serif-bold': absolute(serifSemibold),
    'sans-ext': absolute(sansExtended),
  },
}
