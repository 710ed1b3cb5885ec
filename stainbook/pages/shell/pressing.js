// Brings a new message into sight: it stands under a button that may be the last thing on the screen.
export default ({ data, parentElement }) => {
  const end = parentElement.querySelector('span');
  if (end.told === data.told) return;
  end.told = data.told;
  setTimeout(() => end.scrollIntoView({ block: 'nearest' }), 50);
}
