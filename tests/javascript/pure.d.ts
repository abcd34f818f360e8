/** What scripts that need no page take from it. */
declare const FIGURES: {
  measures: Record<string, any>;
  mark: string;
  bar: string;
  own_words: string;
  sizes: number[];
  most_places: number;
};
declare let metric: boolean;
