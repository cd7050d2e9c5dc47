import { join } from "node:path";
import PDFDocument from "pdfkit";
import type { StudyAccess } from "../access/service";
import { notFound } from "../app-error";
import type { Permission } from "../consent-form/schema";
import { permissionsOfForm } from "../consent-form/service";
import { decisions as decisionsSchema } from "../consent-record/schema";
import type { Core } from "../core";
import { identityInClear } from "../identity/service";
import { momentText } from "../moment";
import type { Transaction } from "../scope";
import { type Strokes, signaturePad, strokesSchema } from "../signed-paper/schema";
import { keepPaper, newestPaper } from "../signed-paper/service";
import { blocksOf, formDigest, wayNames } from "./policy";

/** What the copy of a signed consent form says. */
export interface ConsentCopy {
  readonly studyTitle: string;
  readonly code: string;
  readonly form: {
    readonly title: string;
    readonly version: number;
    readonly text: string;
    readonly permissions: readonly Permission[];
  };
  readonly decisions: Readonly<Record<string, boolean>>;
  readonly name: string;
  /** Null when the typed name alone is the signature. */
  readonly strokes: Strokes | null;
  readonly signedAt: Date;
  readonly way: keyof typeof wayNames;
  readonly countersigned: { readonly name: string; readonly at: Date } | null;
}

/** DejaVu has Latin, Greek, Cyrillic, Armenian, Georgian, Hebrew and Arabic letters; others are set as empty boxes. */
const font = (name: string) => join(process.cwd(), "node_modules", "dejavu-fonts-ttf", "ttf", `${name}.ttf`);

const ink = "#1d1c1a";
const lighter = "#5c5a55";
const signatureWidth = 230;

/** The copy as a PDF (A4), with its fonts in it. */
export function consentCopyPdf(copy: ConsentCopy): Promise<Uint8Array> {
  const document = new PDFDocument({
    size: "A4",
    margins: { top: 60, bottom: 60, left: 62, right: 62 },
    bufferPages: true,
    lang: "en",
    displayTitle: true,
    font: font("DejaVuSans"),
    info: { Title: `${copy.form.title} – ${copy.code}`, CreationDate: copy.signedAt },
  });
  const finished = new Promise<Uint8Array>((resolve, reject) => {
    const chunks: Uint8Array[] = [];
    document.on("data", (chunk: Uint8Array) => chunks.push(chunk));
    document.on("end", () => resolve(new Uint8Array(Buffer.concat(chunks))));
    document.on("error", reject);
  });
  document.registerFont("plain", font("DejaVuSans"));
  document.registerFont("strong", font("DejaVuSans-Bold"));
  write(document, copy);
  const { start, count } = document.bufferedPageRange();
  for (let page = start; page < start + count; page++) {
    document.switchToPage(page);
    // Below the lower margin, where a text would otherwise begin a page of its own.
    document.page.margins.bottom = 0;
    document
      .font("plain")
      .fontSize(8)
      .fillColor(lighter)
      .text(
        `${copy.code} · consent form version ${copy.form.version} · page ${page + 1} of ${count}`,
        62,
        805,
        {
          width: 471,
          align: "center",
          lineBreak: false,
        },
      );
  }
  document.end();
  return finished;
}

function write(document: PDFKit.PDFDocument, copy: ConsentCopy): void {
  const heading = (text: string) => {
    // Never alone at the foot of a page.
    if (document.y > document.page.height - document.page.margins.bottom - 60) document.addPage();
    document.moveDown(0.8).font("strong").fontSize(11.5).fillColor(ink).text(text).moveDown(0.3);
  };
  const body = (text: string, options: PDFKit.Mixins.TextOptions = {}) =>
    document
      .font("plain")
      .fontSize(9.5)
      .fillColor(ink)
      .text(text, { lineGap: 2, ...options });
  document.font("plain").fontSize(9.5).fillColor(lighter).text(copy.studyTitle);
  document.moveDown(0.3).font("strong").fontSize(17).fillColor(ink).text(copy.form.title);
  document
    .moveDown(0.2)
    .font("plain")
    .fontSize(9.5)
    .fillColor(lighter)
    .text(`Copy of the signed consent form, version ${copy.form.version}. Volunteer code ${copy.code}.`);
  for (const block of blocksOf(copy.form.text)) {
    if (block.kind === "heading") heading(block.text);
    else if (block.kind === "item") body(block.text, { indent: 8 }).moveDown(0.2);
    else body(block.text).moveDown(0.4);
  }
  heading("Decisions");
  for (const permission of copy.form.permissions) {
    document
      .font("strong")
      .fontSize(9.5)
      .fillColor(ink)
      .text(copy.decisions[permission.key] === true ? "Permitted: " : "Refused: ", {
        continued: true,
        lineGap: 2,
      })
      .font("plain")
      .text(`${permission.label}${permission.required ? " (required to take part)" : ""}`, { lineGap: 2 })
      .moveDown(0.3);
  }
  heading("Signature");
  body(`Name: ${copy.name}`);
  body(`Signed: ${momentText(copy.signedAt)}, ${wayNames[copy.way]}`);
  if (copy.strokes === null) body("Signed by typing the name.");
  else drawSignature(document, copy.strokes);
  heading("Countersignature");
  body(
    copy.countersigned === null
      ? "Not countersigned yet when this copy was made."
      : `${copy.countersigned.name}, ${momentText(copy.countersigned.at)}`,
  );
  heading("What was signed");
  body(`SHA-256 of title, text and permissions: ${formDigest(copy.form)}`);
}

function drawSignature(document: PDFKit.PDFDocument, strokes: Strokes): void {
  const scale = signatureWidth / signaturePad.width;
  const height = signaturePad.height * scale;
  if (document.y + height > document.page.height - document.page.margins.bottom) document.addPage();
  const top = document.y + 4;
  const { left } = document.page.margins;
  document.rect(left, top, signatureWidth, height).lineWidth(0.5).strokeColor("#c9c6bf").stroke();
  document.lineWidth(1.2).lineCap("round").lineJoin("round").strokeColor(ink);
  for (const stroke of strokes) {
    const [first, ...rest] = stroke;
    if (first === undefined) continue;
    document.moveTo(left + first[0] * scale, top + first[1] * scale);
    // A single touch is a point: a line of no length, which round caps make visible.
    for (const [x, y] of rest.length === 0 ? [first] : rest) {
      document.lineTo(left + x * scale, top + y * scale);
    }
    document.stroke();
  }
  document.y = top + height + 6;
  document.x = left;
}

/** Makes the copy of a consent record as it stands now and keeps it, encrypted, beside those made before. */
export async function storeCopy(
  write: {
    readonly db: Transaction;
    readonly core: Core;
    readonly now: Date;
    readonly access: Pick<StudyAccess, "studyId">;
  },
  recordId: string,
): Promise<{ readonly paperId: string }> {
  const { studyId } = write.access;
  const record = await write.db.consentRecord.findFirst({
    where: { id: recordId, studyId },
    include: {
      form: true,
      study: { select: { title: true } },
      volunteer: { select: { code: true } },
    },
  });
  if (record === null) throw notFound("consent record");
  const { namesAsSigned } = await identityInClear(write, record.volunteerId);
  const drawn = await newestPaper(write, recordId, "signature");
  const bytes = await consentCopyPdf({
    studyTitle: record.study.title,
    code: record.volunteer.code,
    form: {
      title: record.form.title,
      version: record.form.version,
      text: record.form.text,
      permissions: permissionsOfForm(record.form),
    },
    decisions: decisionsSchema.parse(record.decisions),
    name: namesAsSigned.find((signed) => signed.recordId === recordId)?.name ?? "",
    strokes: drawn === null ? null : strokesSchema.parse(JSON.parse(Buffer.from(drawn).toString("utf8"))),
    signedAt: record.signedAt,
    way: record.way,
    countersigned:
      record.countersignedAt === null
        ? null
        : { name: record.countersignedByName ?? "", at: record.countersignedAt },
  });
  return keepPaper(write, {
    recordId,
    volunteerId: record.volunteerId,
    kind: "copy",
    mediaType: "application/pdf",
    bytes,
  });
}
