export { effortGrid, type GridInput, type VisitGrid } from './effort-grid.ts'
export {
  buildSearchedGround,
  clearGroundOf,
  isSearched,
  type SearchedArea,
  type SearchInput,
} from './searched-ground.ts'
