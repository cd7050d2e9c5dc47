/** A column of a table in the package; written out as a field of its table schema. */
export interface Column {
  readonly name: string;
  readonly type: "string" | "integer" | "number";
  readonly title: string;
  readonly description: string;
  readonly unit?: string;
  readonly required?: true;
  readonly unique?: true;
  readonly enum?: readonly string[];
  readonly minimum?: number;
}

interface ForeignKey {
  readonly field: string;
  readonly table: string;
  readonly referenced: string;
}

export interface Table {
  readonly name: string;
  readonly path: string;
  readonly title: string;
  readonly description: string;
  readonly columns: readonly Column[];
  readonly primaryKey?: readonly string[];
  readonly foreignKeys?: readonly ForeignKey[];
}

const key = { type: "string", required: true } as const;

const trialKey: Column = {
  ...key,
  name: "trial",
  title: "Trial",
  description: "Pseudonym of the trial, drawn at random for this release.",
};

const regionKey: Column = {
  name: "region",
  type: "string",
  title: "Region",
  description: "Skin region, see the table regions. Empty when the row is about no single region.",
};

const kinds = ["rest", "exercise", "recovery"] as const;

export const volunteersTable: Table = {
  name: "volunteers",
  path: "volunteers.csv",
  title: "Volunteers",
  description:
    "One row per volunteer, in the order of the random pseudonyms. Body data stands in bands chosen so that every row is " +
    "shared by several volunteers; each band runs from its low end to below its high end. Empty: not recorded, or not " +
    "released.",
  columns: [
    {
      ...key,
      name: "volunteer",
      unique: true,
      title: "Volunteer",
      description:
        "Pseudonym of the volunteer, drawn at random for this release; another release has others.",
    },
    {
      name: "sex",
      type: "string",
      title: "Sex",
      description: "Sex as recorded in the study.",
      enum: ["female", "male", "other"],
    },
    ...band("age", "Age", "years", "years", "integer", "Age at the trials"),
    ...band("height", "Height", "cm", "cm", "integer", "Body height"),
    ...band("mass", "Mass", "kg", "kg", "integer", "Body mass"),
    ...band(
      "surface_area",
      "Surface area",
      "m2",
      "m²",
      "number",
      "Body surface area after Du Bois and Du Bois 1916, computed from the released ends of height and mass",
    ),
    ...band(
      "mass_index",
      "Mass index",
      "kg_m2",
      "kg/m²",
      "number",
      "Mass over height squared, computed from the released ends of height and mass",
    ),
  ],
  primaryKey: ["volunteer"],
};

export const conditionsTable: Table = {
  name: "conditions",
  path: "conditions.csv",
  title: "Conditions",
  description: "What the study varied between trials.",
  columns: [
    { ...key, name: "condition", unique: true, title: "Condition", description: "Name of the condition." },
    { name: "description", type: "string", title: "Description", description: "What the condition was." },
  ],
  primaryKey: ["condition"],
};

export const plannedPhasesTable: Table = {
  name: "planned_phases",
  path: "planned_phases.csv",
  title: "Planned phases",
  description: "The timed parts of a trial as the protocol plans them.",
  columns: [
    {
      name: "position",
      type: "integer",
      required: true,
      unique: true,
      minimum: 1,
      title: "Position",
      description: "Place in the order of phases.",
    },
    { ...key, name: "phase", title: "Phase", description: "Name of the phase." },
    { ...key, name: "kind", title: "Kind", description: "Kind of the phase.", enum: kinds },
    {
      name: "duration_s",
      type: "number",
      title: "Duration",
      description: "Planned duration.",
      unit: "s",
      minimum: 0,
    },
  ],
  primaryKey: ["position"],
};

export const regionsTable: Table = {
  name: "regions",
  path: "regions.csv",
  title: "Regions",
  description: "The skin regions of this study.",
  columns: [
    { ...key, name: "region", unique: true, title: "Region", description: "Name used in the other tables." },
    { ...key, name: "site", title: "Site", description: "Part of the body." },
    {
      ...key,
      name: "side",
      title: "Side",
      description: "The volunteer's own left or right, or the midline.",
    },
    { ...key, name: "aspect", title: "Aspect", description: "Which face of the part." },
    { ...key, name: "label", title: "Label", description: "The region in words." },
  ],
  primaryKey: ["region"],
};

export const trialsTable: Table = {
  name: "trials",
  path: "trials.csv",
  title: "Trials",
  description:
    "One row per trial: one volunteer, one condition, one occasion. In the order of the random pseudonyms, which is " +
    "not the order of the trials. No trial has a date.",
  columns: [
    { ...trialKey, unique: true },
    { ...key, name: "volunteer", title: "Volunteer", description: "Whose trial it is." },
    { ...key, name: "condition", title: "Condition", description: "Under which condition." },
    {
      name: "occasion",
      type: "integer",
      required: true,
      minimum: 1,
      title: "Occasion",
      description: "The how-manieth time the volunteer did this condition.",
    },
    {
      name: "air_temperature_c",
      type: "number",
      title: "Air temperature",
      description: "Air temperature in the room.",
      unit: "°C",
    },
    {
      name: "mean_radiant_temperature_c",
      type: "number",
      title: "Mean radiant temperature",
      description: "Mean radiant temperature of the room.",
      unit: "°C",
    },
    {
      name: "relative_humidity_pct",
      type: "number",
      title: "Relative humidity",
      description: "Relative humidity in the room.",
      unit: "%",
    },
    {
      name: "air_speed_m_s",
      type: "number",
      title: "Air speed",
      description: "Air movement at the volunteer.",
      unit: "m/s",
    },
  ],
  primaryKey: ["trial"],
  foreignKeys: [
    { field: "volunteer", table: "volunteers", referenced: "volunteer" },
    { field: "condition", table: "conditions", referenced: "condition" },
  ],
};

export const phasesTable: Table = {
  name: "phases",
  path: "phases.csv",
  title: "Phases",
  description:
    "The phases of each trial as they were. Times are seconds from the start of the trial's first exercise phase (of its " +
    "first phase where it has none).",
  columns: [
    trialKey,
    {
      name: "position",
      type: "integer",
      required: true,
      minimum: 1,
      title: "Position",
      description: "Place in the order of the trial's phases.",
    },
    { ...key, name: "phase", title: "Phase", description: "Name of the phase." },
    { ...key, name: "kind", title: "Kind", description: "Kind of the phase.", enum: kinds },
    {
      name: "start_s",
      type: "number",
      required: true,
      title: "Start",
      description: "Start of the phase.",
      unit: "s",
    },
    {
      name: "end_s",
      type: "number",
      required: true,
      title: "End",
      description: "End of the phase.",
      unit: "s",
    },
  ],
  primaryKey: ["trial", "position"],
  foreignKeys: [{ field: "trial", table: "trials", referenced: "trial" }],
};

export const measuresTable: Table = {
  name: "measures",
  path: "measures.csv",
  title: "Measures",
  description: "Numbers derived from a trial, one per row, each with its unit.",
  columns: [
    trialKey,
    { ...key, name: "measure", title: "Measure", description: "What was measured." },
    regionKey,
    { name: "value", type: "number", title: "Value", description: "The number, in the unit of its row." },
    { name: "unit", type: "string", title: "Unit", description: "Unit of the value." },
  ],
  foreignKeys: [
    { field: "trial", table: "trials", referenced: "trial" },
    { field: "region", table: "regions", referenced: "region" },
  ],
};

export const tracesTable: Table = {
  name: "traces",
  path: "traces.csv",
  title: "Traces",
  description:
    "The list of all traces: in which file and column each stands and what it is. A trial has one file for each set of " +
    "times at which its instruments sampled.",
  columns: [
    { ...key, name: "file", title: "File", description: "Path of the file with the samples." },
    { ...key, name: "column", title: "Column", description: "Its column in that file." },
    trialKey,
    {
      ...key,
      name: "kind",
      title: "Kind",
      description: "A skin region, or another channel.",
      enum: ["region", "channel"],
    },
    regionKey,
    {
      name: "statistic",
      type: "string",
      title: "Statistic",
      description: "What the value is over the pixels of the region. Empty for a channel.",
    },
    {
      name: "channel",
      type: "string",
      title: "Channel",
      description: "What was recorded when it is no skin region.",
    },
    { name: "unit", type: "string", title: "Unit", description: "Unit of the samples." },
    {
      name: "samples",
      type: "integer",
      required: true,
      minimum: 0,
      title: "Samples",
      description: "Number of samples.",
    },
    {
      name: "missing",
      type: "integer",
      required: true,
      minimum: 0,
      title: "Missing",
      description: "How many of them have no value.",
    },
  ],
  primaryKey: ["file", "column"],
  foreignKeys: [
    { field: "trial", table: "trials", referenced: "trial" },
    { field: "region", table: "regions", referenced: "region" },
  ],
};

/** Every table but those of the samples themselves, in the order of reading. */
export const fixedTables: readonly Table[] = [
  volunteersTable,
  conditionsTable,
  plannedPhasesTable,
  regionsTable,
  trialsTable,
  phasesTable,
  measuresTable,
  tracesTable,
];

function band(
  name: string,
  title: string,
  suffix: string,
  unit: string,
  type: "integer" | "number",
  what: string,
): [Column, Column] {
  return [
    {
      name: `${name}_low_${suffix}`,
      type,
      title: `${title}, low end`,
      description: `${what}: the low end of the band, included.`,
      unit,
      minimum: 0,
    },
    {
      name: `${name}_high_${suffix}`,
      type,
      title: `${title}, high end`,
      description: `${what}: the high end of the band, not included. Empty beside a low end: the band is open.`,
      unit,
      minimum: 0,
    },
  ];
}
