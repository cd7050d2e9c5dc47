/** A name without accents and case, as words: "HandL_mean [°C]" -> hand l mean c. */
export function wordsOf(name: string): string[] {
  // Beyond that it is no name.
  const text = name.slice(0, 300);
  return plainText(text.replace(/([\p{Ll}])(\p{Lu})/gu, "$1 $2").replace(/(\p{Lu})(\p{Lu}\p{Ll})/gu, "$1 $2"))
    .replace(/([a-z])(\d)/g, "$1 $2")
    .replace(/(\d)([a-z])/g, "$1 $2")
    .split(/[^a-z0-9%]+/)
    .filter((word) => word !== "");
}

/** Lower case without accents; ß is ss, ø is o. */
export function plainText(text: string): string {
  return text
    .normalize("NFKD")
    .replace(/[\u0300-\u036f]/g, "")
    .toLowerCase()
    .replaceAll("ß", "ss")
    .replaceAll("ø", "o")
    .replaceAll("æ", "ae")
    .replaceAll("œ", "oe");
}
