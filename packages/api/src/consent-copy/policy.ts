import { createHash } from "node:crypto";
import { canonicalJson } from "../canonical-json";
import type { Permission } from "../consent-form/schema";

/** A part of a text as it is set on paper. */
export interface Block {
  readonly kind: "heading" | "paragraph" | "item";
  readonly text: string;
}

/**
 * Markdown as plain blocks for paper: headings, paragraphs and the items of lists. Marks of emphasis go, the address of a link
 * follows its words, and everything else stays as the characters that it is.
 */
export function blocksOf(markdown: string): Block[] {
  const blocks: Block[] = [];
  let open: Block | null = null;
  const close = () => {
    if (open !== null) blocks.push({ ...open, text: plain(open.text) });
    open = null;
  };
  for (const line of markdown.split("\n")) {
    const heading = /^#{1,6}\s+(.*)$/.exec(line);
    const item = /^\s*(?:[-*+]|(\d+[.)]))\s+(.*)$/.exec(line);
    if (line.trim() === "") close();
    else if (heading !== null) {
      close();
      blocks.push({ kind: "heading", text: plain(heading[1] ?? "") });
    } else if (item !== null) {
      close();
      open = { kind: "item", text: `${item[1] ?? "•"} ${item[2] ?? ""}` };
    } else if (open === null) open = { kind: "paragraph", text: line.trim() };
    else open = { kind: (open as Block).kind, text: `${(open as Block).text} ${line.trim()}` };
  }
  close();
  return blocks;
}

function plain(text: string): string {
  return text
    .replace(/\[([^\]]*)\]\(([^)\s]*)\)/g, "$1 ($2)")
    .replace(/(\*\*|__)(?=\S)(.+?)\1/g, "$2")
    .replace(/(?<![\p{L}\p{N}*_])([*_])(?=\S)([^*_]+?)\1(?![\p{L}\p{N}*_])/gu, "$2");
}

/** SHA-256 of a consent form as it was read: title, text and permissions, as JSON with sorted keys, in UTF-8. */
export function formDigest(form: {
  readonly title: string;
  readonly text: string;
  readonly permissions: readonly Permission[];
}): string {
  const { title, text, permissions } = form;
  return createHash("sha256")
    .update(canonicalJson({ title, text, permissions: [...permissions] }), "utf8")
    .digest("hex");
}

/** How it was signed, in words. */
export const wayNames = {
  paper: "on paper",
  here: "on a device of the study's team",
  own_device: "on the volunteer's own device, by link",
} as const;
