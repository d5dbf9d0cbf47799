// The borders of the program; each rule says why it stands. Checked by `npm run borders`.
const QUESTIONS = ['vet', 'outline', 'advance', 'downstream', 'effort', 'plan', 'work', 'season', 'sheets', 'share']
const TOOLS = ['project', 'formats', 'network', 'stats', 'geo']
const core = names => `(^|/)core/(${names.join('|')})/`

/** @type {import('dependency-cruiser').IConfiguration} */
module.exports = {
  forbidden: [
    {
      name: 'no-cycles',
      comment: 'A cycle means that two files are one idea; also of types, which is how layers leak into each other.',
      severity: 'error',
      from: {},
      to: { circular: true },
    },
    {
      name: 'core-is-pure',
      comment: 'Core runs in Node, a worker and a browser alike: no host module, no window library, no Electron.',
      severity: 'error',
      from: { path: '(^|/)core/' },
      to: { dependencyTypes: ['core'] },
    },
    {
      name: 'core-knows-no-face',
      comment: 'What computes must not know what shows it.',
      severity: 'error',
      from: { path: '(^|/)core/' },
      to: { path: '(^|/)(renderer|electron)/|node_modules/(electron|react|react-dom|react-aria-components|maplibre-gl|lucide-react)(/|$)' },
    },
    {
      name: 'model-stands-alone',
      comment: 'The nouns rest on nothing, so that everything may rest on them.',
      severity: 'error',
      from: { path: core(['model']) },
      to: { path: '(^|/)core/', pathNot: core(['model']) },
    },
    {
      name: 'tools-know-no-question',
      comment: 'Files, networks, statistics and geometry serve every question and know none.',
      severity: 'error',
      from: { path: core(TOOLS) },
      to: { path: [core(QUESTIONS), '(^|/)core/desk'] },
    },
    {
      name: 'questions-do-not-meet',
      comment: 'Question folders share a noun of model/ or a tool; the desk hands one answer to the next.',
      severity: 'error',
      from: { path: `(?:^|/)core/(${QUESTIONS.join('|')})/` },
      to: { path: core(QUESTIONS), pathNot: '(^|/)core/$1/' },
    },
    {
      name: 'questions-know-no-desk',
      comment: 'Only the desk puts questions together.',
      severity: 'error',
      from: { path: core(QUESTIONS) },
      to: { path: '(^|/)core/desk' },
    },
    {
      name: 'faces-go-through-the-desk',
      comment: 'Window and main process see the desk, its view, the nouns and the columnar layers, never a question folder.',
      severity: 'error',
      from: { path: '(^|/)(renderer|electron)/', pathNot: '(^|/)electron/batch/' },
      to: { path: core([...QUESTIONS, 'project', 'formats', 'network', 'stats']) },
    },
    {
      name: 'faces-do-not-meet',
      comment: 'The page and its host share the surface file alone.',
      severity: 'error',
      from: { path: '(^|/)renderer/' },
      to: { path: '(^|/)electron/', pathNot: '(^|/)electron/ipc/surface' },
    },
    {
      name: 'host-shows-nothing',
      comment: 'The host keeps files and windows; it draws nothing.',
      severity: 'error',
      from: { path: '(^|/)electron/' },
      to: { path: '(^|/)renderer/' },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.base.json' },
    exclude: { path: '(^|/)(dist|out)/|(^|/)core/[^/]+/make/' },
    enhancedResolveOptions: { extensions: ['.ts', '.tsx', '.mjs', '.js', '.json', '.d.ts'] },
  },
}
