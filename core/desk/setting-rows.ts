import type { QuestionId, SettingRow } from '../desk-view.ts'
import type { Brief } from '../model/index.ts'

const COMMON = 'common practice, no source'

interface SettingSpec {
  readonly question: QuestionId
  readonly path: string
  readonly label: string
  readonly unit: string
  readonly source: (brief: Brief) => string
  readonly effect: string
  readonly min: number | null
  readonly max: number | null
  readonly read: (brief: Brief) => number
  readonly write: (brief: Brief, value: number) => Brief
}

const outline = (patch: Partial<Brief['outline']>) => (brief: Brief) => ({
  ...brief,
  outline: { ...brief.outline, ...patch },
})
const advance = (patch: Partial<Brief['advance']>) => (brief: Brief) => ({
  ...brief,
  advance: { ...brief.advance, ...patch },
})
const flow = (patch: Partial<Brief['downstream']>) => (brief: Brief) => ({
  ...brief,
  downstream: { ...brief.downstream, ...patch },
})

const SPECS: readonly SettingSpec[] = [
  {
    question: 'outline',
    path: 'outline.join_m',
    label: 'Join distance, edge to edge',
    unit: 'm',
    source: () => COMMON,
    effect: 'Finds whose discs lie closer than this are one patch; larger joins more ground between finds.',
    min: 0,
    max: 500,
    read: brief => brief.outline.join,
    write: (brief, join) => outline({ join })(brief),
  },
  {
    question: 'outline',
    path: 'outline.radius_m',
    label: 'Radius of a find without a size',
    unit: 'm',
    source: () => COMMON,
    effect: 'Stands in where a report states no size; changes the default share of every area.',
    min: 0.5,
    max: 200,
    read: brief => brief.outline.radius,
    write: (brief, radius) => outline({ radius })(brief),
  },
  {
    question: 'outline',
    path: 'outline.min_reports',
    label: 'Reports that make a patch',
    unit: '',
    source: () => COMMON,
    effect: 'Fewer are shown as single finds and add no patch. A change holds for unconfirmed patches too.',
    min: 1,
    max: 20,
    read: brief => brief.outline.minReports,
    // The same number again must not undo what the brief says of unconfirmed patches.
    write: (brief, value) =>
      value === brief.outline.minReports ? brief : outline({ minReports: value, minReportsUnconfirmed: value })(brief),
  },
  {
    question: 'outline',
    path: 'outline.accuracy_limit_m',
    label: 'Position limit for area (95 %)',
    unit: 'm',
    source: () => COMMON,
    effect: 'Finds with a worse position are drawn as dashed circles and add no area.',
    min: 1,
    max: 500,
    read: brief => brief.outline.accuracyLimit,
    write: (brief, accuracyLimit) => outline({ accuracyLimit })(brief),
  },
  {
    question: 'outline',
    path: 'outline.minimum_area_m2',
    label: 'Smallest patch',
    unit: 'm²',
    source: () => COMMON,
    effect: 'Patches with less gross area are left out, listed and warned of; 0 keeps all.',
    min: 0,
    max: 100_000,
    read: brief => brief.outline.minimumArea ?? 0,
    write: (brief, minimumArea) => outline({ minimumArea })(brief),
  },
  {
    question: 'advance',
    path: 'advance.step_m',
    label: 'Step along the boundary',
    unit: 'm',
    source: () => COMMON,
    effect: 'How densely the newer outline is compared with the older one.',
    min: 1,
    max: 500,
    read: brief => brief.advance.step,
    write: (brief, step) => advance({ step })(brief),
  },
  {
    question: 'downstream',
    path: 'downstream.bank_m',
    label: 'Bank distance',
    unit: 'm',
    source: () => COMMON,
    effect: 'A patch farther than this from water sheds nothing into it.',
    min: 1,
    max: 500,
    read: brief => brief.downstream.bank,
    write: (brief, bank) => flow({ bank })(brief),
  },
  {
    question: 'downstream',
    path: 'downstream.retention_m.ordinary',
    label: 'Retention length, ordinary flow',
    unit: 'm',
    source: brief => brief.species.retention.ordinary.source,
    effect: 'Longer carries propagules farther before they strand; the order of looking reaches downstream with it.',
    min: 1,
    max: 100_000,
    read: brief => brief.downstream.retentionOrdinary ?? brief.species.retention.ordinary.value,
    write: (brief, retentionOrdinary) => flow({ retentionOrdinary })(brief),
  },
  {
    question: 'downstream',
    path: 'downstream.retention_m.flood',
    label: 'Retention length, flood',
    unit: 'm',
    source: brief => brief.species.retention.flood.source,
    effect: 'The same for the flood scenario.',
    min: 1,
    max: 1_000_000,
    read: brief => brief.downstream.retentionFlood ?? brief.species.retention.flood.value,
    write: (brief, retentionFlood) => flow({ retentionFlood })(brief),
  },
  {
    question: 'downstream',
    path: 'downstream.snap_m',
    label: 'Snap of line ends',
    unit: 'm',
    source: () => COMMON,
    effect: 'Ends of waterway lines within this are one node.',
    min: 0,
    max: 100,
    read: brief => brief.downstream.snap,
    write: (brief, snap) => flow({ snap })(brief),
  },
]

/** The few settings of a question, as they stand. */
export function settingRows(question: QuestionId, brief: Brief): SettingRow[] {
  return SPECS.filter(spec => spec.question === question).map(
    ({ path, label, unit, source, effect, min, max, read }) => ({
      path,
      label,
      value: read(brief),
      unit,
      source: source(brief),
      effect,
      min,
      max,
    }),
  )
}

/** The brief with changed settings. Values outside a setting's range are held at its end; unknown paths are ignored. */
export function applySettings(brief: Brief, settings: Readonly<Record<string, number | string>>): Brief {
  return SPECS.reduce((changed, spec) => {
    const value = Number(settings[spec.path])
    if (settings[spec.path] === undefined || !Number.isFinite(value)) return changed
    return spec.write(changed, Math.min(spec.max ?? value, Math.max(spec.min ?? value, value)))
  }, brief)
}
