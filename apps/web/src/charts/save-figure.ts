import { saveBlob } from "../components/save-blob";
import { chartColours } from "./chart-colours";

const light: Readonly<Record<string, string>> = chartColours.light;
const titleHeight = 36;
const margin = 12;

/** Puts the light colours in place of custom properties: a saved figure stands alone and goes onto paper. */
export function resolveColours(text: string): string {
  return text.replace(/var\((--[\w-]+)\)/g, (whole, name: string) => light[name] ?? whole);
}

/** A copy of a drawn figure that stands alone: with its title, its description, a white ground and fixed colours. */
export function standaloneSvg(drawing: SVGSVGElement, title: string, description: string): string {
  const width = drawing.width.baseVal.value || drawing.clientWidth;
  const height = drawing.height.baseVal.value || drawing.clientHeight;
  const namespace = "http://www.w3.org/2000/svg";
  const make = (name: string, attributes: Record<string, string | number>, text?: string) => {
    const element = document.createElementNS(namespace, name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, String(value));
    if (text !== undefined) element.textContent = text;
    return element;
  };

  const sheet = make("svg", {
    xmlns: namespace,
    width: width + 2 * margin,
    height: height + titleHeight + 2 * margin,
    viewBox: `0 0 ${width + 2 * margin} ${height + titleHeight + 2 * margin}`,
    "font-family": "Inter, Arial, Helvetica, sans-serif",
    "font-size": 13,
  });
  sheet.append(make("title", {}, title), make("desc", {}, description));
  sheet.append(make("rect", { width: "100%", height: "100%", fill: light["--chart-surface"] ?? "#fff" }));
  sheet.append(
    make(
      "text",
      {
        x: margin,
        y: margin + 16,
        fill: light["--chart-ink"] ?? "#000",
        "font-size": 15,
        "font-weight": 600,
      },
      title,
    ),
  );
  const body = make("g", { transform: `translate(${margin} ${margin + titleHeight})` });
  const copy = drawing.cloneNode(true);
  if (copy instanceof SVGSVGElement) {
    for (const passing of copy.querySelectorAll("[data-screen-only]")) passing.remove();
    for (const name of ["class", "style", "tabindex", "role", "aria-hidden"]) copy.removeAttribute(name);
    copy.setAttribute("width", String(width));
    copy.setAttribute("height", String(height));
  }
  body.append(copy);
  sheet.append(body);
  return resolveColours(new XMLSerializer().serializeToString(sheet));
}

export function saveSvg(svg: string, fileName: string): void {
  saveBlob(new Blob([svg], { type: "image/svg+xml" }), `${fileName}.svg`);
}

/** Draws the figure at twice its size, enough for a slide and a printed column. */
export async function savePng(svg: string, fileName: string, scale = 2): Promise<void> {
  const address = URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));
  try {
    const image = new Image();
    image.src = address;
    await image.decode();
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(image.naturalWidth * scale);
    canvas.height = Math.round(image.naturalHeight * scale);
    const context = canvas.getContext("2d");
    if (context === null) throw new Error("This browser cannot draw the picture. Save it as SVG instead.");
    context.drawImage(image, 0, 0, canvas.width, canvas.height);
    const png = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, "image/png"));
    if (png === null)
      throw new Error("This browser could not make a PNG of this size. Save it as SVG instead.");
    saveBlob(png, `${fileName}.png`);
  } finally {
    URL.revokeObjectURL(address);
  }
}
