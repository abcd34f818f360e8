/** What scripts that need no page take from it. */
declare const FIGURES: {
  measures: Record<string, any>;
  sentences: Record<string, [number, string]>;
  sentence: string;
  quoted: string;
  steps: number[];
};
declare let metric: boolean;
