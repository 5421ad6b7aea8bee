/** Made by the build: where each language's words for the rule book are. */
declare module 'virtual:rule-words' {
  const at: Readonly<Record<'en' | 'es', string>>;
  export default at;
}
