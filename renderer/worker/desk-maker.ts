/** The one place where the window's worker takes the desk from. */
export { createDesk } from '../../core/desk.ts'
