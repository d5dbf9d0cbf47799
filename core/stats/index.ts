export { createRandom, type Random } from './random.ts'
