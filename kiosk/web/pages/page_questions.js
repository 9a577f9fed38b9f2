// Questions: what the storekeeper must settle. Reality was booked; somebody has to say what it means. Below: what is
// promised back, and overdue.

import {Component, h} from '/vendor/preact/preact.js';
import {BackupTrouble} from './backups.js';
import {Lent} from './lent.js';
import {Form, Tag, Trouble} from './parts.js';
import {act, need} from './store.js';
import {instant_words, plural, word_words} from './words.js';

function Question({question, people}) {
    const person = (people || []).find(row => row.serial === question.person);
    return h('li', {class: 'card question'},
             h('h2', null, h(Tag, {look: 'ask'}, word_words(question.code))),
             question.note ? h('p', null, question.note) : null,
             h('p', {class: 'quiet'}, instant_words(question.opened_at),
               question.person ? `, ${person && person.name || question.person}` : ''),
             question.unit && question.unit[0] !== 'H'
                 ? h('p', null, 'About ', h('a', {class: 'serial', href: `#/unit/${question.unit}`}, question.unit)) : null,
             h(Form, {name: `Settle question ${question.question}`, word: 'Settle it',
                      fields: [{name: 'how', label: 'How it was settled', required: true, longest: 240}],
                      done: async content => (await act('settle', {question: question.question, ...content})).title}));
}

export class QuestionsPage extends Component {
    componentDidMount() {
        need(['people', 'health']);
    }

    render({state}) {
        const {questions, people, health, lent} = state.tables;
        return h('main', {class: 'page', id: 'main'},
                 h('h1', null, 'Questions'),
                 h(Trouble, {text: state.problem}),
                 h(BackupTrouble, {health}),
                 questions === undefined ? h('p', null, 'Reading\u2026')
                 : questions.length === 0 ? h('p', {class: 'panel'}, 'No question is open.')
                 : h('div', null,
                     h('p', null, `${plural(questions.length, 'question')} open. A storekeeper settles them: scan a storekeeper\u2019s badge first.`),
                     h('ul', {class: 'plain-list'}, questions.map(question =>
                         h(Question, {key: question.question, question, people})))),
                 h(Lent, {lent}));
    }
}
