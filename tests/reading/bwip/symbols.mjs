// Every size and every kind of content that bwip-js can lay out. Texts are random and the same in every run.
import bwipjs from 'bwip-js';

let state = 20260214;
function below(bound) { // xorshift32 (Marsaglia 2003)
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) % bound;
}

function write(symbology, eci, bytes, input, options) {
    const made = bwipjs.raw('datamatrix', input, options)[0];
    const hex = Buffer.from(bytes, 'latin1').toString('hex');
    console.log(`${made.pixy} ${made.pixx} ${symbology} ${eci} ${hex} ${made.pixs.join('')}`);
}

// The sizes of ISO/IEC 16022:2006 Table 7 and of ISO/IEC 21471:2020, and the data codewords of each.
const sizes = {
    '10x10': 3, '12x12': 5, '14x14': 8, '16x16': 12, '18x18': 18, '20x20': 22, '22x22': 30, '24x24': 36, '26x26': 44,
    '32x32': 62, '36x36': 86, '40x40': 114, '44x44': 144, '48x48': 174, '52x52': 204, '64x64': 280, '72x72': 368,
    '80x80': 456, '88x88': 576, '96x96': 696, '104x104': 816, '120x120': 1050, '132x132': 1304, '144x144': 1558,
    '8x18': 5, '8x32': 10, '12x26': 16, '12x36': 22, '16x36': 32, '16x48': 49,
    '8x48': 18, '8x64': 24, '8x80': 32, '8x96': 38, '8x120': 49, '8x144': 63, '12x64': 43, '12x88': 64, '16x64': 62,
    '20x36': 44, '20x44': 56, '20x64': 84, '22x48': 72, '24x48': 80, '24x64': 108, '26x40': 70, '26x48': 90, '26x64': 118,
};
const iso = Object.keys(sizes).slice(0, 30);

const alphabets = [
    '0123456789', // digit pairs
    'ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 ', // C40
    'abcdefghijklmnopqrstuvwxyz0123456789 ', // Text
    'ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789*>\r ', // X12
    'ABC.,-/:;<=>?@[]^!#$%&\'()*+0123456789', // EDIFACT
    '\xE4\xF6\xFC\xDF\xC4\xD6\xDC\xB5\xB0\xE9\xFF\x00', // base 256, upper shift
    'Ab1!\x1D\x02~}z_`\xE4', // changes
];

function random(alphabet, length) {
    return Array.from({length}, () => alphabet[below(alphabet.length)]).join('');
}

for (const [version, data] of Object.entries(sizes))
    for (const alphabet of alphabets)
        for (let round = 0; round < (data > 300 ? 1 : 3); round++)
            for (let length = 1 + below(data); length > 0; length = length >> 1) {
                const text = random(alphabet, length);
                try {
                    write(']d1', -1, text, text, {version, dmre: !iso.includes(version), binarytext: true});
                    break;
                } catch (error) {
                    if (!/exceed/.test(String(error)))
                        throw error;
                }
            }

// Runs of one kind make the encoder change its encodation.
const kinds = ['0123456789', alphabets[1], alphabets[2], alphabets[3], alphabets[4],
    Array.from({length: 256}, (_, i) => String.fromCharCode(i)).join('')];
for (let i = 0; i < 500; i++) {
    let text = '';
    while (text.length < 1 + i % 60)
        text += random(kinds[below(kinds.length)], 1 + below(12));
    write(']d1', -1, text, text, {binarytext: true});
}

// ISO/IEC 15424: FNC1 in first place, behind one letter or two digits, elsewhere; ECI; both.
const special = {parsefnc: true, binarytext: true};
write(']d2', -1, '010950600013435210L24117\x1D21C004217T', '^FNC1010950600013435210L24117^FNC121C004217T', special);
write(']d2', -1, '010950600013435210L24117\x1D21C004217T', '^FNC1010950600013435210L24117\x1D21C004217T', special);
write(']d3', -1, 'AB12', 'A^FNC1B12', special);
write(']d3', -1, '12B12', '12^FNC1B12', special);
write(']d1', -1, 'AB\x1D12', 'AB^FNC112', special);
for (const eci of [3, 26, 126, 127, 128, 899, 16382, 16383, 100000, 811799])
    write(']d4', eci, 'ABC\xE9', `^ECI${String(eci).padStart(6, '0')}ABC\xE9`, special);
write(']d5', 3, '90V0001236', '^FNC1^ECI00000390V0001236', special);
write(']d6', 3, 'AB12', 'A^FNC1^ECI000003B12', special);
write(']d1', -1, 'SETUP', '^PROGSETUP', special);
// ISO/IEC 15434 envelopes, which become the macro codewords 236 and 237.
for (const format of ['05', '06'])
    write(']d1', -1, `[)>\x1E${format}\x1DS4711\x1E\x04`, `[)>\x1E${format}\x1DS4711\x1E\x04`, {binarytext: true});

// Codewords as they are: structured append (third of seven in file 258), FNC1 and an ECI behind it.
const raw = {raw: true, version: '16x16'};
const words = (list) => list.concat(Array(12 - list.length).fill(129)).map((w) => `^${String(w).padStart(3, '0')}`).join('');
write(']d1', -1, 'PART', words([233, 42, 1, 2, 81, 66, 83, 85]), raw);
write(']d2', -1, '90A', words([233, 42, 1, 2, 232, 220, 66]), raw);
write(']d3', -1, 'AB', words([233, 42, 1, 2, 66, 232, 67]), raw);
write(']d4', 3, 'AB', words([233, 42, 1, 2, 241, 4, 66, 67]), raw);
