// Prints what ical.js reads in each calendar file named on the command line, as JSON.
import { readFileSync } from 'node:fs';
import ICAL from 'ical.js';

/** @param {ICAL.Component} entry */
function read(entry) {
  const event = new ICAL.Event(entry);
  return {
    uid: event.uid,
    sequence: event.sequence,
    start: event.startDate.toString(),
    end: event.endDate.toString(),
    stamp: String(entry.getFirstPropertyValue('dtstamp')),
    summary: event.summary,
    description: event.description,
    status: entry.getFirstPropertyValue('status') || '',
    alarms: entry.getAllSubcomponents('valarm').map((alarm) => [
      alarm.getFirstPropertyValue('action'),
      alarm.getFirstPropertyValue('trigger').toSeconds(),
      alarm.getFirstPropertyValue('description'),
    ]),
  };
}

const files = process.argv.slice(2).map((name) => {
  const calendar = new ICAL.Component(ICAL.parse(readFileSync(name, 'utf-8')));
  return {
    method: calendar.getFirstPropertyValue('method'),
    events: calendar.getAllSubcomponents('vevent').map(read),
  };
});
process.stdout.write(JSON.stringify(files));
