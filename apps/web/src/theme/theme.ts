import {
  ActionIcon,
  Anchor,
  Button,
  Checkbox,
  type CSSVariablesResolver,
  createTheme,
  Input,
  InputWrapper,
  Menu,
  Modal,
  rem,
  SegmentedControl,
  Select,
  Tooltip,
} from "@mantine/core";
import { chartColours } from "../charts/chart-colours";
import { paper, petrol, slate, stop } from "./colours";

const fontFamily = '"Inter Variable", ui-sans-serif, system-ui, "Liberation Sans", Arial, sans-serif';

/** Components as the notebook wants them: small radius, no shadows, labels one step smaller than what is typed. */
export const theme = createTheme({
  fontFamily,
  fontFamilyMonospace: 'ui-monospace, "SFMono-Regular", Menlo, Consolas, "Liberation Mono", monospace',
  colors: { petrol, gray: paper, dark: slate, red: stop },
  primaryColor: "petrol",
  primaryShade: { light: 7, dark: 6 },
  black: "#22211e",
  white: "#ffffff",
  defaultRadius: "xs",
  respectReducedMotion: true,
  cursorType: "pointer",
  spacing: { xs: rem(4), sm: rem(8), md: rem(16), lg: rem(24), xl: rem(40) },
  radius: { xs: rem(2), sm: rem(3), md: rem(4), lg: rem(6), xl: rem(8) },
  shadows: { xs: "none", sm: "none", md: "none", lg: "none", xl: "none" },
  lineHeights: { xs: "1.34", sm: "1.43", md: "1.5", lg: "1.34", xl: "1.4" },
  headings: {
    fontFamily,
    fontWeight: "600",
    sizes: {
      h1: { fontSize: rem(24), lineHeight: rem(32) },
      h2: { fontSize: rem(18), lineHeight: rem(28) },
      h3: { fontSize: rem(16), lineHeight: rem(24) },
      h4: { fontSize: rem(16), lineHeight: rem(24), fontWeight: "500" },
      h5: { fontSize: rem(14), lineHeight: rem(20) },
      h6: { fontSize: rem(14), lineHeight: rem(20), fontWeight: "500" },
    },
  },
  components: {
    Button: Button.extend({ defaultProps: { size: "sm", variant: "default" } }),
    ActionIcon: ActionIcon.extend({ defaultProps: { variant: "subtle", color: "gray", size: 32 } }),
    Anchor: Anchor.extend({ defaultProps: { underline: "always" } }),
    Input: Input.extend({ vars: () => ({ wrapper: { "--input-height": rem(36), "--input-fz": rem(16) } }) }),
    InputWrapper: InputWrapper.extend({
      vars: () => ({
        label: { "--input-label-size": rem(14), "--input-asterisk-color": "var(--mantine-color-dimmed)" },
        error: { "--input-error-size": rem(14) },
        description: { "--input-description-size": rem(14) },
        success: { "--input-success-size": rem(14) },
      }),
      defaultProps: { inputWrapperOrder: ["label", "description", "input", "error"] },
    }),
    Select: Select.extend({ defaultProps: { checkIconPosition: "right", allowDeselect: false } }),
    Checkbox: Checkbox.extend({ defaultProps: { radius: "xs" } }),
    Menu: Menu.extend({ defaultProps: { radius: "xs", offset: 4 } }),
    Modal: Modal.extend({
      defaultProps: {
        centered: true,
        overlayProps: { backgroundOpacity: 0.45 },
        closeButtonProps: { "aria-label": "Close" },
        transitionProps: { duration: 0 },
      },
    }),
    SegmentedControl: SegmentedControl.extend({ defaultProps: { size: "sm", transitionDuration: 0 } }),
    Tooltip: Tooltip.extend({ defaultProps: { withArrow: false, openDelay: 300 } }),
  },
});

/** Colours that Mantine does not know: hairlines, quiet surfaces, and everything a figure is drawn with. */
export const cssVariables: CSSVariablesResolver = () => ({
  variables: {},
  light: {
    "--mantine-color-body": "#fffefc",
    "--mantine-color-text": "#22211e",
    "--mantine-color-dimmed": paper[7],
    "--mantine-color-placeholder": paper[6],
    "--mantine-color-error": stop[6],
    "--mantine-color-default-border": paper[5],
    "--mantine-color-anchor": petrol[7],
    "--acral-hairline": paper[2],
    "--acral-line": paper[3],
    "--acral-quiet": paper[0],
    "--acral-hover": paper[1],
    "--acral-chosen": petrol[0],
    "--acral-accent": petrol[7],
    ...chartColours.light,
  },
  dark: {
    "--mantine-color-body": slate[7],
    "--mantine-color-text": slate[0],
    "--mantine-color-dimmed": slate[1],
    "--mantine-color-placeholder": slate[2],
    "--mantine-color-error": stop[3],
    "--mantine-color-default": slate[8],
    "--mantine-color-default-hover": slate[6],
    "--mantine-color-default-border": slate[3],
    "--mantine-color-anchor": petrol[2],
    "--acral-hairline": slate[5],
    "--acral-line": slate[4],
    "--acral-quiet": slate[8],
    "--acral-hover": slate[6],
    "--acral-chosen": "#16393b",
    "--acral-accent": petrol[2],
    ...chartColours.dark,
  },
});
