"use client";

import { Textarea, TextInput } from "@mantine/core";
import { NumberField } from "@/components/number-field";
import classes from "@/features/imaging/imaging.module.css";
import { NotApplicableFields } from "@/features/imaging/not-applicable-fields";
import type { Imaging, ProtocolVersion } from "./draft-form";

type TextName = {
  [Name in keyof Imaging]: Imaging[Name] extends string ? Name : never;
}[keyof Imaging];
type NumberName = {
  [Name in keyof Imaging]: Imaging[Name] extends number | null ? Name : never;
}[keyof Imaging];

interface ImagingFieldsProps {
  readonly value: Imaging;
  readonly onChange: (value: Imaging) => void;
  readonly errors: Readonly<Record<string, string>>;
  readonly items: ProtocolVersion["reportingItems"];
}

/** The imaging set-up as published guidance asks to have it reported. */
export function ImagingFields({ value, onChange, errors, items }: ImagingFieldsProps) {
  const field = (name: TextName) => ({
    id: `imaging.${name}`,
    maw: 640,
    value: value[name],
    onChange: (event: { currentTarget: { value: string } }) =>
      onChange({ ...value, [name]: event.currentTarget.value }),
    error: errors[`imaging.${name}`],
  });
  const long = (name: TextName) => ({ ...field(name), autosize: true, minRows: 1, maxRows: 10 });
  const number = (name: NumberName) => ({
    id: `imaging.${name}`,
    value: value[name],
    onChange: (next: number | null) => onChange({ ...value, [name]: next }),
    error: errors[`imaging.${name}`],
    width: 190,
  });
  const { referenceSource } = value;
  const source = (name: "temperatureC" | "emissivity") => ({
    id: `imaging.referenceSource.${name}`,
    value: referenceSource[name],
    onChange: (next: number | null) =>
      onChange({ ...value, referenceSource: { ...referenceSource, [name]: next } }),
    error: errors[`imaging.referenceSource.${name}`],
    width: 190,
  });
  return (
    <div className={classes.groups}>
      <fieldset className={classes.group}>
        <legend>Camera</legend>
        <TextInput label="Camera" description="Maker and model." {...field("camera")} />
        <TextInput label="Resolution" description="In pixels: width × height." {...field("resolution")} />
        <TextInput label="Stated accuracy" description="As the maker states it." {...field("accuracy")} />
        <Textarea
          label="Calibration"
          description="When and how it was last calibrated or checked."
          {...long("calibration")}
        />
        <NumberField label="Camera warm-up" unit="min" digits={0} {...number("cameraWarmUpMin")} />
      </fieldset>
      <fieldset className={classes.group}>
        <legend>Settings for temperature</legend>
        <div className={classes.fields}>
          <NumberField label="Emissivity" digits={3} {...number("emissivity")} />
          <NumberField label="Reflected temperature" unit="°C" {...number("reflectedTemperatureC")} />
        </div>
        <Textarea label="How the reflected temperature is measured" {...long("reflectedTemperatureMethod")} />
      </fieldset>
      <fieldset className={classes.group}>
        <legend>Reference source in view</legend>
        <TextInput
          label="Reference source"
          description="What of known temperature stands in the picture, if anything."
          maw={640}
          id="imaging.referenceSource.description"
          value={referenceSource.description}
          onChange={(event) =>
            onChange({
              ...value,
              referenceSource: { ...referenceSource, description: event.currentTarget.value },
            })
          }
          error={errors["imaging.referenceSource.description"]}
        />
        <div className={classes.fields}>
          <NumberField label="Its true temperature" unit="°C" {...source("temperatureC")} />
          <NumberField label="Its emissivity" digits={3} {...source("emissivity")} />
        </div>
      </fieldset>
      <fieldset className={classes.group}>
        <legend>Position</legend>
        <div className={classes.fields}>
          <NumberField label="Distance" unit="m" {...number("distanceM")} />
          <NumberField label="Share of the image" unit="%" digits={0} {...number("frameSharePct")} />
          <NumberField label="Angle of view" unit="°" digits={0} {...number("viewAngleDeg")} />
        </div>
        <p className={classes.help}>
          The share is what the body fills of the image; the angle counts from the perpendicular, 0° is
          straight onto the skin.
        </p>
        <Textarea
          label="Surroundings"
          description="How far heat sources, cold surfaces and draughts are kept away."
          {...long("surroundings")}
        />
      </fieldset>
      <fieldset className={classes.group}>
        <legend>Volunteer and skin</legend>
        <NumberField label="Acclimatisation" unit="min" digits={0} {...number("acclimatisationMin")} />
        <Textarea
          label="How volunteers acclimatise"
          description="Seated or standing, which regions bare, what they may touch."
          {...long("acclimatisation")}
        />
        <Textarea label="Posture" {...long("posture")} />
        <Textarea
          label="Preparation of the skin"
          description="Dried or not and how, hair, marks."
          {...long("skinPreparation")}
        />
        <Textarea
          label="Outside factors asked about"
          description="Recent exercise, medicines, treatments. What a volunteer names is noted with the trial."
          {...long("outsideFactors")}
        />
        <TextInput label="Time of day" {...field("timeOfDay")} />
      </fieldset>
      <fieldset className={classes.group}>
        <legend>Regions</legend>
        <Textarea
          label="How regions are drawn"
          description="Shapes, landmarks, smallest number of pixels. Regions and statistics are chosen above."
          {...long("regionDrawing")}
        />
        <TextInput label="Program" description="Name and version." {...field("regionProgram")} />
      </fieldset>
      <NotApplicableFields
        items={items}
        value={value.notApplicable}
        onChange={(notApplicable) => onChange({ ...value, notApplicable })}
        errors={Object.fromEntries(
          items.map(({ key }) => [key, errors[`imaging.notApplicable.${key}`] ?? ""]),
        )}
      />
      <Textarea label="Notes" {...long("notes")} />
    </div>
  );
}
