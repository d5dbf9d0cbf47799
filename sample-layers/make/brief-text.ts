import { FORMS } from './report-files.ts'
import { SEASONS, type SeasonYear } from './vine.ts'

/** The brief of the sample county, with comments for people who start their own from it. */
export function briefText(): string {
  return `{
  // The season review of an invented county. Copy this file beside your own layers and change what differs.
  "title": "Tollavane County",
  "species": "sample-vine",
  "working_crs": "auto",
  "layers": {
    // One entry a year: forms changed, so each names its own columns.
    "reports": [
${SEASONS.map(reportSource).join(',\n')}
    ],
    "parcels": { "path": "parcels.zip", "fields": { "id": "PIN", "owner": "OWNER" } },
    "waterways": {
      "path": "waterways.geojson",
      "fields": { "id": "id", "name": "name", "direction": "direction", "width_m": "width_m" }
    },
    "barriers": { "path": "barriers.geojson" },
    "treatments": { "path": "treatments.geojson" },
    "releases": { "path": "releases.geojson" },
    "visits": { "path": "visits.geojson" },
    "protect": { "path": "protect.geojson" },
    "boundary": { "path": "boundary.geojson" },
    "searched": { "path": "searched.geojson" },
    "carriers": { "path": "carriers.geojson" },
    "flood": { "path": "flood.geojson" },
    "reference": [{ "path": "roads.geojson" }]
  },
  // A season runs from 16 March, when last year's stems have been swept, to 15 March.
  "seasons": [
${SEASONS.map(seasonLine).join(',\n')}
  ],
  "outline": { "method": "closing", "radius_m": 5, "join_m": 30, "min_reports": 1, "min_reports_unconfirmed": 2 },
  "vet": { "admit": "unblocked" },
  "advance": { "origin": "first-patch", "step_m": 25 },
  "downstream": {
    "snap_m": 2,
    "bank_m": 30,
    "bank_scale_m": 10,
    "retention_m": { "ordinary": 200, "flood": 2000 },
    "draws": 200,
    "seed": 1
  },
  "plan": { "person_hours": 320, "insects": 400 },
  "sheets": [
    { "id": "season-review", "kind": "season-review", "page": "letter", "orientation": "landscape", "audience": "partner" },
    { "id": "season-review-crew", "kind": "season-review", "page": "a4", "orientation": "landscape", "audience": "crew" }
  ]
}
`
}

function reportSource(season: SeasonYear): string {
  const form = FORMS[season]
  const pairs = Object.entries(form.columns).map(([field, column]) => `"${field}": "${column}"`)
  const lines = [0, 4, 8, 12].map(k => `          ${pairs.slice(k, k + 4).join(', ')}`)
  return `      {
        "path": "reports-${season}.csv",
        "fields": {
${lines.join(',\n')}
        },
        "date_format": "${form.date === 'iso' ? 'iso' : form.date === 'mdy' ? 'mdy' : 'auto'}",
        "crs": "EPSG:4326"
      }`
}

function seasonLine(season: SeasonYear): string {
  const next = season + 1
  return `    {
      "id": "${season}", "start": "${season}-03-16", "end": "${next}-03-15",
      "detectable": {
        "leaf": ["${season}-05-01", "${season}-10-31"],
        "propagule": ["${season}-07-01", "${next}-03-15"],
        "stem": ["${season}-11-15", "${next}-03-15"]
      }
    }`
}
