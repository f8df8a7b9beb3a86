// Hands a file from the server to the browser's own saving.

export function nameIn(answer: Response, otherwise: string): string {
  const given = answer.headers.get('content-disposition') ?? '';
  const encoded = /filename\*=UTF-8''([^;]+)/i.exec(given)?.[1];
  if (encoded) return decodeURIComponent(encoded);
  return /filename="?([^";]+)"?/i.exec(given)?.[1] ?? otherwise;
}

export async function save(answer: Response, otherwise: string): Promise<void> {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(await answer.blob());
  link.download = nameIn(answer, otherwise);
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
