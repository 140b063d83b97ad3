// A worker's clock is not slowed with the page's: it says only that it is time to look ahead.
let going = 0;
onmessage = ({ data }) => {
  clearInterval(going);
  if (data) going = setInterval(() => postMessage(0), data);
};
