import type { ReadLimits } from "../limits";
import { SourceFileError } from "../source-file-error";
import { damagedWorkbook } from "./damaged-workbook";

/** One file inside of a ZIP archive, as the archive's directory has it; the sizes are claims until it is unpacked. */
export interface ZipEntry {
  name: string;
  /** 0: as it is; 8: deflated. */
  method: number;
  encrypted: boolean;
  crc: number;
  packedBytes: number;
  bytes: number;
  /** Where its local header begins. */
  offset: number;
}

const endSignature = 0x06054b50;
const entrySignature = 0x02014b50;
const localSignature = 0x04034b50;
const endBytes = 22;
const entryBytes = 46;
const localBytes = 30;
const longestComment = 0xffff;
/** Stands for "see the ZIP64 record", which archives of the size that is read here do not need. */
const inZip64 = 0xffffffff;

/** The directory at the end of a ZIP archive (PKWARE APPNOTE 6.3.10, 4.3.12 and 4.3.16). */
export function readZipDirectory(bytes: Uint8Array, limits: ReadLimits): ZipEntry[] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const end = findEnd(view);
  const count = view.getUint16(end + 10, true);
  if (count > limits.maxZipEntries) {
    throw new SourceFileError(
      "too-large",
      `The workbook is packed from ${count} parts, more than the ${limits.maxZipEntries} that are opened. Copy the sheet with the recording into a new workbook and upload that.`,
    );
  }
  const entries: ZipEntry[] = [];
  let at = view.getUint32(end + 16, true);
  for (let i = 0; i < count; i++) {
    if (at + entryBytes > end || view.getUint32(at, true) !== entrySignature) {
      throw damagedWorkbook("the directory of its parts is broken");
    }
    const nameLength = view.getUint16(at + 28, true);
    const next = at + entryBytes + nameLength + view.getUint16(at + 30, true) + view.getUint16(at + 32, true);
    if (next > end) throw damagedWorkbook("the directory of its parts is broken");
    const entry: ZipEntry = {
      name: new TextDecoder().decode(bytes.subarray(at + entryBytes, at + entryBytes + nameLength)),
      encrypted: (view.getUint16(at + 8, true) & 1) === 1,
      method: view.getUint16(at + 10, true),
      crc: view.getUint32(at + 16, true),
      packedBytes: view.getUint32(at + 20, true),
      bytes: view.getUint32(at + 24, true),
      offset: view.getUint32(at + 42, true),
    };
    if (entry.packedBytes === inZip64 || entry.bytes === inZip64 || entry.offset === inZip64) {
      throw new SourceFileError(
        "too-large",
        "The workbook is packed for sizes of more than 4 GiB (ZIP64). Export the sheet as CSV and upload that file.",
      );
    }
    entries.push(entry);
    at = next;
  }
  return entries;
}

/** The packed bytes of an entry, without its local header. */
export function packedBytesOf(bytes: Uint8Array, entry: ZipEntry): Uint8Array {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const { offset, packedBytes, name } = entry;
  if (offset + localBytes > bytes.length || view.getUint32(offset, true) !== localSignature) {
    throw damagedWorkbook(`its part ${name} is not where the directory says`);
  }
  const start = offset + localBytes + view.getUint16(offset + 26, true) + view.getUint16(offset + 28, true);
  if (start + packedBytes > bytes.length) throw damagedWorkbook(`its part ${name} is cut off`);
  return bytes.subarray(start, start + packedBytes);
}

function findEnd(view: DataView): number {
  const earliest = Math.max(0, view.byteLength - endBytes - longestComment);
  for (let at = view.byteLength - endBytes; at >= earliest; at--) {
    if (view.getUint32(at, true) === endSignature) return at;
  }
  throw damagedWorkbook("its end is missing, so it was probably cut off while it was copied");
}
