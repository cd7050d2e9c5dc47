import type { Aspect, Side, Site } from "@acral/analysis/skin";

export type Language = "en" | "de" | "fr" | "es" | "nl" | "it" | "pt";

export interface SiteMeaning {
  site: Site;
  side?: Side;
  aspect?: Aspect;
  /** 1: the word can mean nothing else here; less: it is vague or an abbreviation. */
  confidence: number;
  languages: readonly Language[];
}

type Row = readonly [
  site: Site,
  words: Partial<Record<Language, string>>,
  more?: Partial<Omit<SiteMeaning, "site">>,
];

/** Words for skin sites, without accents, separated by commas. Common anatomical and everyday vocabulary. */
const rows: readonly Row[] = [
  [
    "forehead",
    {
      en: "forehead,brow",
      de: "stirn",
      fr: "front",
      es: "frente",
      nl: "voorhoofd",
      it: "fronte",
      pt: "fronte",
    },
  ],
  [
    "forehead",
    { en: "head,fh,fhd", de: "kopf", fr: "tete", es: "cabeza", nl: "hoofd", it: "testa", pt: "cabeca" },
    { confidence: 0.5 },
  ],
  [
    "temple",
    {
      en: "temple",
      de: "schlafe,schlaefe",
      fr: "tempe",
      es: "sien",
      nl: "slaap",
      it: "tempia",
      pt: "tempora",
    },
  ],
  [
    "cheek",
    {
      en: "cheek",
      de: "wange,backe",
      fr: "joue",
      es: "mejilla",
      nl: "wang",
      it: "guancia",
      pt: "bochecha",
    },
  ],
  [
    "nose",
    {
      en: "nose,nose tip,tip of the nose",
      de: "nase,nasenspitze",
      fr: "nez,bout du nez",
      es: "nariz",
      nl: "neus",
      it: "naso",
      pt: "nariz",
    },
  ],
  [
    "ear",
    {
      en: "ear,earlobe,ear lobe",
      de: "ohr,ohrlappchen,ohrlaeppchen",
      fr: "oreille",
      es: "oreja",
      nl: "oor",
      it: "orecchio",
      pt: "orelha",
    },
  ],
  ["neck", { en: "neck,nck", de: "hals", fr: "cou", es: "cuello", nl: "hals", it: "collo", pt: "pescoco" }],
  [
    "neck",
    {
      en: "nape,back of the neck,back of neck",
      de: "nacken,genick",
      fr: "nuque",
      es: "nuca",
      nl: "nek",
      it: "nuca",
    },
    { aspect: "posterior" },
  ],
  [
    "chest",
    {
      en: "chest,breast,pectoral,pectoralis,thorax,chst",
      de: "brust,brustkorb",
      fr: "poitrine,thorax,torse,pectoral",
      es: "pecho,torax",
      nl: "borst,borstkas",
      it: "petto,torace",
      pt: "peito,torax",
    },
  ],
  [
    "chest",
    {
      en: "sternum,breastbone",
      de: "brustbein",
      es: "esternon",
      nl: "borstbeen",
      it: "sterno",
      pt: "esterno",
    },
    { side: "midline", confidence: 0.9 },
  ],
  [
    "scapula",
    {
      en: "scapula,shoulder blade,scap",
      de: "schulterblatt",
      fr: "omoplate,scapula",
      es: "escapula,omoplato",
      nl: "schouderblad",
      it: "scapola",
      pt: "escapula,omoplata",
    },
  ],
  [
    "upper back",
    {
      en: "upper back,trapezius",
      de: "oberer rucken,oberer ruecken,rucken oben,ruecken oben,oberrucken",
      fr: "haut du dos,haut dos,dos haut",
      es: "espalda alta,espalda superior,parte superior de la espalda",
      nl: "bovenrug,rug boven",
      it: "schiena alta,parte alta della schiena,dorso superiore",
      pt: "costas superiores,parte superior das costas,costas altas",
    },
  ],
  [
    "upper back",
    { en: "back", de: "rucken,ruecken", fr: "dos", es: "espalda", nl: "rug", it: "schiena", pt: "costas" },
    { confidence: 0.5 },
  ],
  [
    "abdomen",
    {
      en: "abdomen,belly,stomach,abd",
      de: "bauch,abdomen",
      fr: "abdomen,ventre",
      es: "abdomen,vientre",
      nl: "buik",
      it: "addome,pancia",
      pt: "abdomen,abdome,barriga",
    },
  ],
  [
    "lower back",
    {
      en: "lower back,lumbar,low back,loin",
      de: "unterer rucken,unterer ruecken,rucken unten,ruecken unten,lende,lendenwirbel",
      fr: "bas du dos,lombaire,lombaires,dos bas",
      es: "espalda baja,lumbar,zona lumbar",
      nl: "onderrug,lende,rug onder",
      it: "lombare,zona lombare,schiena bassa",
      pt: "lombar,zona lombar,parte inferior das costas",
    },
  ],
  [
    "buttock",
    {
      en: "buttock,buttocks,gluteus,gluteal",
      de: "gesass,gesaess",
      fr: "fesse",
      es: "gluteo,nalga",
      nl: "bil",
      it: "gluteo,natica",
      pt: "gluteo,nadega",
    },
  ],
  [
    "shoulder",
    {
      en: "shoulder,deltoid,shld",
      de: "schulter",
      fr: "epaule",
      es: "hombro",
      nl: "schouder",
      it: "spalla",
      pt: "ombro",
    },
  ],
  [
    "upper arm",
    {
      en: "upper arm,upperarm,u arm,uarm,ua",
      de: "oberarm",
      fr: "bras superieur,haut du bras",
      es: "brazo superior",
      nl: "bovenarm",
      it: "braccio superiore",
      pt: "braco superior,parte superior do braco",
    },
  ],
  [
    "upper arm",
    { en: "arm", de: "arm", fr: "bras", es: "brazo", nl: "arm", it: "braccio", pt: "braco" },
    { confidence: 0.5 },
  ],
  [
    "upper arm",
    {
      en: "biceps",
      de: "bizeps",
      fr: "biceps",
      es: "biceps",
      nl: "biceps",
      it: "bicipite",
      pt: "bicipite,biceps",
    },
    { aspect: "anterior", confidence: 0.9 },
  ],
  [
    "upper arm",
    {
      en: "triceps",
      de: "trizeps",
      fr: "triceps",
      es: "triceps",
      nl: "triceps",
      it: "tricipite",
      pt: "tricipite,triceps",
    },
    { aspect: "posterior", confidence: 0.9 },
  ],
  [
    "elbow",
    {
      en: "elbow",
      de: "ellbogen,ellenbogen",
      fr: "coude",
      es: "codo",
      nl: "elleboog",
      it: "gomito",
      pt: "cotovelo",
    },
  ],
  [
    "forearm",
    {
      en: "forearm,fore arm,lower arm,f arm,farm,fa",
      de: "unterarm,vorderarm",
      fr: "avant bras,avantbras",
      es: "antebrazo",
      nl: "onderarm",
      it: "avambraccio",
      pt: "antebraco",
    },
  ],
  [
    "wrist",
    {
      en: "wrist",
      de: "handgelenk",
      fr: "poignet",
      es: "muneca",
      nl: "pols",
      it: "polso",
      pt: "pulso,punho",
    },
  ],
  ["hand", { en: "hand,hd,hnd", de: "hand", fr: "main", es: "mano", nl: "hand", it: "mano", pt: "mao" }],
  [
    "hand",
    {
      en: "palm,palm of the hand,palm of hand,hand palm",
      de: "handflache,handflaeche,handteller,hohlhand",
      fr: "paume,paume de la main,paume main",
      es: "palma,palma de la mano,palma mano",
      nl: "handpalm",
      it: "palmo,palmo della mano,palmo mano",
      pt: "palma,palma da mao,palma mao",
    },
    { aspect: "palmar" },
  ],
  [
    "hand",
    {
      en: "back of the hand,back of hand,hand back,dorsum of the hand,dorsum hand",
      de: "handrucken,handruecken",
      fr: "dos de la main,dos main,main dos",
      es: "dorso de la mano,dorso mano",
      nl: "handrug,rug van de hand",
      it: "dorso della mano,dorso mano",
      pt: "dorso da mao,dorso mao,costas da mao",
    },
    { aspect: "dorsal" },
  ],
  [
    "finger",
    {
      en: "finger,thumb,fing",
      de: "finger,daumen",
      fr: "doigt,pouce",
      es: "dedo,dedo de la mano,pulgar",
      nl: "vinger,duim",
      it: "dito,dito della mano,pollice",
      pt: "dedo,dedo da mao,polegar",
    },
  ],
  [
    "fingertip",
    {
      en: "fingertip,finger tip,fingertips,tip of the finger",
      de: "fingerspitze,fingerkuppe,fingerbeere",
      fr: "bout du doigt,bout doigt,pulpe,pulpe du doigt",
      es: "yema,yema del dedo,punta del dedo,punta dedo",
      nl: "vingertop",
      it: "polpastrello,punta del dito,punta dito",
      pt: "ponta do dedo,ponta dedo",
    },
  ],
  [
    "thigh",
    {
      en: "thigh,upper leg,thi",
      de: "oberschenkel",
      fr: "cuisse",
      es: "muslo",
      nl: "bovenbeen,dij",
      it: "coscia",
      pt: "coxa",
    },
  ],
  [
    "thigh",
    {
      en: "quadriceps,quad,quads",
      de: "quadrizeps",
      fr: "quadriceps",
      es: "cuadriceps",
      nl: "quadriceps",
      it: "quadricipite",
      pt: "quadricipite,quadriceps",
    },
    { aspect: "anterior", confidence: 0.9 },
  ],
  [
    "thigh",
    { en: "hamstring,hamstrings", fr: "ischio jambiers", es: "isquiotibiales", nl: "hamstring" },
    { aspect: "posterior", confidence: 0.9 },
  ],
  [
    "knee",
    {
      en: "knee,kneecap,patella",
      de: "knie,kniescheibe",
      fr: "genou",
      es: "rodilla",
      nl: "knie",
      it: "ginocchio",
      pt: "joelho",
    },
  ],
  [
    "knee",
    { en: "back of the knee,popliteal", de: "kniekehle", fr: "creux poplite", nl: "knieholte" },
    { aspect: "posterior" },
  ],
  [
    "calf",
    {
      en: "calf,gastrocnemius,gastroc,clf",
      de: "wade",
      fr: "mollet",
      es: "pantorrilla,gemelo",
      nl: "kuit",
      it: "polpaccio",
      pt: "panturrilha,barriga da perna,gemeo",
    },
  ],
  [
    "calf",
    {
      en: "lower leg,leg",
      de: "unterschenkel,bein",
      fr: "jambe",
      es: "pierna",
      nl: "onderbeen,been",
      it: "gamba",
      pt: "perna",
    },
    { confidence: 0.5 },
  ],
  [
    "shin",
    {
      en: "shin,tibia,tibialis",
      de: "schienbein",
      fr: "tibia",
      es: "espinilla,tibia",
      nl: "scheen,scheenbeen",
      it: "tibia,stinco",
      pt: "canela,tibia",
    },
  ],
  [
    "ankle",
    {
      en: "ankle,malleolus,ank",
      de: "knochel,knoechel,fussgelenk",
      fr: "cheville",
      es: "tobillo",
      nl: "enkel",
      it: "caviglia",
      pt: "tornozelo",
    },
  ],
  [
    "heel",
    { en: "heel", de: "ferse", fr: "talon", es: "talon", nl: "hiel,hak", it: "tallone", pt: "calcanhar" },
  ],
  ["foot", { en: "foot", de: "fuss", fr: "pied", es: "pie", nl: "voet", it: "piede", pt: "pe" }],
  [
    "foot",
    {
      en: "sole,sole of the foot,sole of foot",
      de: "fusssohle,sohle",
      fr: "plante du pied,plante pied",
      es: "planta,planta del pie,planta pie",
      nl: "voetzool",
      it: "pianta del piede,pianta piede",
      pt: "planta do pe,planta pe,sola do pe",
    },
    { aspect: "plantar" },
  ],
  [
    "foot",
    {
      en: "dorsum of the foot,top of the foot,foot dorsum",
      de: "fussrucken,fussruecken",
      fr: "dos du pied,dessus du pied",
      es: "dorso del pie",
      nl: "voetrug",
      it: "dorso del piede",
      pt: "dorso do pe,peito do pe",
    },
    { aspect: "dorsal" },
  ],
  [
    "toe",
    {
      en: "toe,big toe,great toe,hallux",
      de: "zehe,zeh,grosszehe,grosszeh",
      fr: "orteil,gros orteil",
      es: "dedo del pie,dedo pie,dedo gordo",
      nl: "teen,grote teen",
      it: "dito del piede,dito piede,alluce",
      pt: "dedo do pe,dedo pe,halux",
    },
  ],
  [
    "instep",
    { en: "instep", de: "spann,rist", fr: "cou de pied", es: "empeine", nl: "wreef", it: "collo del piede" },
  ],
];

function build(): Map<string, SiteMeaning> {
  const meanings = new Map<string, SiteMeaning>();
  for (const [site, words, more] of rows) {
    for (const [language, list] of Object.entries(words) as [Language, string][]) {
      for (const phrase of list.split(",")) {
        const before = meanings.get(phrase);
        if (before !== undefined && before.site !== site) continue;
        const languages = before === undefined ? [language] : [...before.languages, language];
        const short =
          phrase.length <= 4 &&
          /^(fh|fhd|ua|uarm|fa|farm|abd|scap|fing|hd|hnd|clf|chst|thi|shld|ank|nck)$/.test(phrase);
        meanings.set(phrase, { site, confidence: short ? 0.6 : 1, ...more, languages });
      }
    }
  }
  return meanings;
}

/** Phrase (words joined by one space) to what it means. */
export const siteMeanings: ReadonlyMap<string, SiteMeaning> = build();

export const longestSitePhrase = Math.max(
  ...[...siteMeanings.keys()].map((phrase) => phrase.split(" ").length),
);
