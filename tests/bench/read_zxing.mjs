// read_zxing.mjs   takes names of PGM files (P5, 8 bit) on standard input; for each a line of JSON on standard output: what a
// current zxing-cpp, as npm's zxing-wasm carries it, recognises in it. The module comes from the package's own file: left to
// itself the package would fetch it from the network.
import {readFileSync} from 'node:fs';
import {createRequire} from 'node:module';
import {createInterface} from 'node:readline';
import {prepareZXingModule, readBarcodes} from 'zxing-wasm/reader';

const wasm = readFileSync(createRequire(import.meta.url).resolve('zxing-wasm/reader/zxing_reader.wasm'));
await prepareZXingModule({overrides: {wasmBinary: wasm}, fireImmediately: true});

function load(path) {
  const bytes = readFileSync(path);
  const [head, width, height] = /^P5\s+(\d+)\s+(\d+)\s+255\s/.exec(bytes.toString('latin1', 0, 64));
  const data = new Uint8ClampedArray(width * height * 4);
  for (let i = 0, k = head.length; i < data.length; i += 4, k++) {
    data[i] = data[i + 1] = data[i + 2] = bytes[k];
    data[i + 3] = 255;
  }
  return {data, width: Number(width), height: Number(height)};
}

for await (const path of createInterface({input: process.stdin})) {
  const found = await readBarcodes(load(path), {formats: ['DataMatrix'], tryHarder: true, maxNumberOfSymbols: 255});
  const symbols = found.filter((symbol) => symbol.isValid).map((symbol) => Buffer.from(symbol.bytes).toString('hex').toUpperCase());
  console.log(JSON.stringify({file: path, symbols}));
}
