import type { Channel } from "../channels";

type Row = readonly [channel: Channel, confidence: number, phrases: string];

/** Phrases (without accents) that name a channel; commas separate them. Longer phrases win over shorter ones. */
const rows: readonly Row[] = [
  [
    "heart rate",
    1,
    "heart rate,heartrate,herzfrequenz,herzschlag,herzrate,frequence cardiaque,frecuencia cardiaca,hartslag,hartfrequentie,frequenza cardiaca,pulse rate,frequencia cardiaca",
  ],
  ["heart rate", 0.85, "hr,hf,fc,puls,pulse,pouls,pulso,polso cardiaco,pols cardiaal,bpm,hs"],
  ["power", 1, "power,power output,leistung,puissance,potencia,vermogen,potenza,potencia media,watt,watts"],
  ["power", 0.6, "load,last,work rate,workload,w"],
  [
    "core temperature",
    1,
    "core temperature,core temp,core,kerntemperatur,kern,korperkerntemperatur,koerperkerntemperatur,temperature centrale,temperatura central,temperatura interna,kerntemperatuur,temperatura centrale,rectal,rektal,rectale,rettale,rektaltemperatur,esophageal,oesophageal,gastrointestinal,gi pill,tympanic",
  ],
  [
    "core temperature",
    0.9,
    "tcore,tre,trec,trect,t rect,tes,tc,tgi,t core,t re,t rec,t es,t gi,t c core,tcr",
  ],
  [
    "air temperature",
    1,
    "air temperature,air temp,room temperature,room temp,ambient temperature,ambient temp,lufttemperatur,raumtemperatur,umgebungstemperatur,temperature ambiante,temperature de l air,temperatura ambiente,temperatura del aire,temperatura aire,luchttemperatuur,omgevingstemperatuur,kamertemperatuur,temperatura dell aria,temperatura aria,temperatura do ar,t air,t amb,t room,raumtemp,lufttemp,tair,tamb,troom",
  ],
  [
    "air temperature",
    0.85,
    "air,ambient,room,luft,raum,umgebung,ambiante,ambiente,aire,lucht,omgeving,aria,ta,t a",
  ],
  [
    "mean radiant temperature",
    1,
    "mean radiant temperature,radiant temperature,mean radiant,mrt,tmrt,strahlungstemperatur",
  ],
  [
    "relative humidity",
    1,
    "relative humidity,humidity,luftfeuchte,luftfeuchtigkeit,relative feuchte,relative luftfeuchte,rel feuchte,humidite,humidite relative,humedad,humedad relativa,luchtvochtigheid,relatieve vochtigheid,vochtigheid,umidita,umidita relativa,humidade,humidade relativa,umidade,umidade relativa",
  ],
  ["relative humidity", 0.85, "rh,hum,feuchte,rf,rv,ur"],
  [
    "air speed",
    1,
    "air speed,air velocity,airspeed,wind speed,wind,windgeschwindigkeit,luftgeschwindigkeit,luft geschwindigkeit,vitesse de l air,velocidad del aire,luchtsnelheid,velocita dell aria,velocidade do ar",
  ],
  [
    "reference surface temperature",
    1,
    "reference surface,reference surface temperature,reference temperature,reference source,black body,blackbody,schwarzstrahler,referenzflache,referenzflaeche,referenzstrahler,surface de reference,corps noir,superficie de referencia,cuerpo negro,referentievlak,superficie di riferimento,corpo nero",
  ],
  [
    "reference surface temperature",
    0.85,
    "reference,ref,referenz,referencia,referentie,riferimento,t ref,tref",
  ],
  ["cadence", 1, "cadence,trittfrequenz,cadencia,trapfrequentie,cadenza,kadenz,step rate,pedal rate"],
  ["cadence", 0.8, "rpm,cad"],
  ["speed", 0.9, "speed,geschwindigkeit,vitesse,velocidad,velocidade,snelheid,velocita,treadmill speed"],
  [
    "oxygen uptake",
    1,
    "oxygen uptake,oxygen consumption,vo 2,vo2,v o 2,sauerstoffaufnahme,consommation d oxygene,consumo de oxigeno,zuurstofopname,consumo di ossigeno",
  ],
  ["carbon dioxide output", 1, "carbon dioxide output,vco 2,vco2,v co 2,kohlendioxidabgabe"],
  [
    "ventilation",
    0.9,
    "ventilation,minute ventilation,ve,v e,ventilacion,ventilatie,ventilazione,atemminutenvolumen",
  ],
  [
    "respiratory rate",
    1,
    "respiratory rate,breathing rate,breathing frequency,respiration rate,atemfrequenz,frequence respiratoire,frecuencia respiratoria,ademfrequentie,frequenza respiratoria",
  ],
  ["respiratory rate", 0.75, "rr,resp,af"],
];

/** Words that say where something was measured: another quantity in the same name says what ("Room RH"). */
export const placeWords: ReadonlySet<string> = new Set(
  "air ambient room luft raum umgebung ambiante ambiente aire lucht omgeving aria".split(" "),
);

export interface ChannelMeaning {
  channel: Channel;
  confidence: number;
}

function build(): Map<string, ChannelMeaning> {
  const meanings = new Map<string, ChannelMeaning>();
  for (const [channel, confidence, phrases] of rows) {
    for (const phrase of phrases.split(",")) meanings.set(phrase, { channel, confidence });
  }
  return meanings;
}

export const channelMeanings: ReadonlyMap<string, ChannelMeaning> = build();
