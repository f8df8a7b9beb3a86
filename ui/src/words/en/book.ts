// English: the words of books and lesson sheets.
export const book = {
  title: 'Bind a book',
  lead: 'For one player or a whole class: cover, contents, fingering chart and music, as one PDF.',
  forWhom: 'For whom',
  everybody: 'Everybody',
  nobody: 'Nobody',
  together: 'What they play sounds together: the same notes, each in the octave of the instrument.',
  pieces: 'What to practise',
  addPiece: 'Add a day or an exercise',
  choosePiece: 'Choose …',
  days: 'Whole days',
  earlier: (piece: string) => `${piece}: earlier`,
  later: (piece: string) => `${piece}: later`,
  takeOut: (piece: string) => `${piece}: take out`,
  look: 'On paper',
  cover: 'Title on the cover',
  usualTitle: 'Daily routine',
  ownLevel: 'each one’s own',
  bind: 'Make the PDF',
  binding: 'Binding …',
  needs: 'Choose at least one player and one piece.',
  made: (players: number, pieces: number) => `Bound: ${players} book${players === 1 ? '' : 's'} with ${pieces} piece${pieces === 1 ? '' : 's'} each.`,
};

export const lesson = {
  print: 'Print the sheet',
  bind: 'Bind its exercises',
  practise: 'To practise',
  takes: 'Takes it was about',
  heard: 'What was heard',
  sheet: 'Sheet',
};
