// The card that stands for an item: a PDF, printed at 100 %.

import {post_for_picture, read} from './api.js';

const NAME = 'item-card', PDF_DPI = 600;

export async function item_card(item) {
    const {text} = await read(`/api/templates/${NAME}`);
    const fields = {item: item.code, 'item-name': item.name || '', note: [item.resin, item.revision && `revision ${item.revision}`].filter(Boolean).join(', ')};
    const pdf = await post_for_picture('/api/templates/preview', {name: NAME, text, fields, dpi: PDF_DPI, format: 'pdf'});
    const url = URL.createObjectURL(pdf);
    const link = Object.assign(document.createElement('a'), {href: url, download: `${NAME}-${item.code}.pdf`});
    link.click();
    setTimeout(() => URL.revokeObjectURL(url), 60000); // the browser has it by then
}
