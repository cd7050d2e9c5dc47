/** Powers of ten that a double holds exactly. */
export const powersOfTen = Float64Array.from({ length: 23 }, (_, exponent) => Number(`1e${exponent}`));
