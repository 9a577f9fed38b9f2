// How long things of one kind have lasted in this room, beside what is rated.

import {Component, h} from '/vendor/preact/preact.js';
import {read} from './api.js';
import {plural} from './words.js';

function rated_words({outlast_rated, rated_hours}) {
    return outlast_rated === null ? '' : ` ${Math.round(outlast_rated * 100)} % last the rated ${rated_hours} h or longer.`;
}

function left_out_words({left_out}) {
    return left_out === 0 ? '' : ` Left out: ${plural(left_out, 'thing')} of unknown hours, or not run here yet.`;
}

/** Of an item's code. Nothing until it is read; it is no news, so it is read once. */
export class Lives extends Component {
    async componentDidMount() {
        try {
            this.setState({lives: await read(`/api/lives/${encodeURIComponent(this.props.item)}`)});
        } catch (problem) {
            this.setState({trouble: problem.message});
        }
    }

    render(_, {lives, trouble}) {
        return lives ? h('p', {class: 'quiet'}, `Of its kind here: ${lives.sentence}${rated_words(lives)}${left_out_words(lives)}`)
            : trouble ? h('p', {class: 'quiet'}, trouble) : null;
    }
}
