// A field that asks a phone for its camera and hands the picture to the uploader above it. A phone cuts the connection
// while its camera is open, and the uploader takes nothing until it stands again: the picture waits here for that.
const LOOK_MS = 200;
export default ({ data, parentElement }) => {
  const label = parentElement.querySelector('label');
  const [field, words] = [label.querySelector('input'), label.querySelector('span')];
  const zone = () => document.querySelector(
    `.st-key-${data.uploader.replace(/[^a-zA-Z0-9_-]/g, '-')} [data-testid=stFileUploaderDropzone]`);
  const hand = () => {
    clearTimeout(field.later);
    const there = zone(), input = there?.querySelector('input[type=file]');
    const waits = field.files.length > 0 && (!input || there.getAttribute('aria-disabled') === 'true');
    words.textContent = waits ? data.waits : data.take;
    if (waits) field.later = setTimeout(hand, LOOK_MS);
    if (waits || field.files.length === 0) return;
    const bag = new DataTransfer();
    bag.items.add(field.files[0]);
    field.value = '';  // the same name again is another picture
    input.files = bag.files;
    input.dispatchEvent(new Event('change', { bubbles: true }));
  };
  field.setAttribute('aria-label', `${data.what}: ${data.take}`);
  field.onchange = hand;
  label.hidden = false;
  hand();
}
