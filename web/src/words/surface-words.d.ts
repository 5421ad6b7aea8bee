/** Made by the build (scripts/words.ts): the part of the catalogs that goes with a surface. */
declare module 'virtual:words/*' {
  const words: import('./words.ts').Words;
  export default words;
}
