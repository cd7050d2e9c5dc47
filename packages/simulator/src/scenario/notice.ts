export const notice =
  "Everything in this study is invented: the club, the people, the places, the dates and every number. " +
  "The temperature courses come from a small simulation and are evidence of nothing.";
