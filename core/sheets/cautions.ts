import type { Audience } from '../model/brief.ts'

/** Cautions of the trade that every sheet carries. Source: common practice, no source. */
export const SHEET_CAUTIONS: readonly string[] = [
  'A model is a guide for looking, not proof of presence.',
  'Get permission before entry.',
  'The product label is the law; licensed applicators where required; local codes and permits first.',
  'No spraying over or within the setback of water without an aquatic label.',
  'Clean boots, mowers and trucks between sites; bag propagules.',
  'Vines in the canopy carry fire into crowns: tell the burn boss.',
  'Crews of two at least; mind heat, stinging insects, poison ivy and fast water.',
]

/** Who a sheet is for, as it is printed. */
export const AUDIENCE_LINE: Readonly<Record<Audience, string>> = {
  crew: 'For crews and staff, not for posting',
  owner: 'For the owner of this land',
  partner: 'For partners',
  public: 'For everyone',
}
